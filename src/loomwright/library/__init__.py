"""Generic device kinds, stock and faces: data files with their marks."""
