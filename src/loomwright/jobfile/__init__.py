"""The job file: text with positions, decoding, edits, saving, reading into the model."""
