"""What was done and measured at the bench."""
