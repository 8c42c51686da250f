"""Alternatives, priced, as edits."""
