"""Practice room."""
