"""sizing"""
