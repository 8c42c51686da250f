"""mockup"""
