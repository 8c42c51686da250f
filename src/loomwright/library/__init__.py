"""Generic device kinds, stock and faces: data files with their marks.

Take each thing from its own module: `kinds`, `wires` (and ready-made cables), `coverings`, `splices`,
`contacts`, `fuses`, `faces` (described in `face_text`), `colours`. Nothing is read before it is asked for,
and once only.
"""
