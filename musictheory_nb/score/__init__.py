"""Score room."""
