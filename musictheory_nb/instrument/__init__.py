"""Instrument room."""
