"""What the drawn editors of the desk are made from: plan, faces, cuts and boards as plain data."""
