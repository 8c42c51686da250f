"""Kernels: numbers in, numbers out. Knows no loom, no file and no page."""
