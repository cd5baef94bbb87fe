"""Exercises, items, marking and the answer record: everything that decides a mark, on the standard library alone."""
