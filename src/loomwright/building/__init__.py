"""building"""
