"""pack"""
