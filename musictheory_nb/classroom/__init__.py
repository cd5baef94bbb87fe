"""Lesson notebooks handed out, handed in, marked and reported."""
