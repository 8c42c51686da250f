"""routing"""
