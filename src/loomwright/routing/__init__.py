"""Joins, wires and the path of every wire."""
