"""calc"""
