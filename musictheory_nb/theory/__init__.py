"""Theory room."""
