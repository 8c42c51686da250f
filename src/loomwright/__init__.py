"""Plans, checks and prints one-off engine-management wiring looms."""

from typing import Final

VERSION: Final = "0.1.0"
