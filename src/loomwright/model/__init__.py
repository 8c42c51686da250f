"""What a job is: devices, circuits, rope, looms and choices, as frozen values."""
