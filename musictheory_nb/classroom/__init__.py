"""Classroom room."""
