"""From the measured rope to the tree of sections; captures from tables and forms."""
