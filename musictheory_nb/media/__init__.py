"""Media room."""
