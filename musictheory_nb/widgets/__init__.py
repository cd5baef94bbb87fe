"""Widgets room."""
