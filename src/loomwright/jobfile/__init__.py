"""jobfile"""
