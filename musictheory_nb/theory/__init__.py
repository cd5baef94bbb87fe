"""Pitches, intervals, chords, scales, keys and numerals, and what follows from them; the standard library alone."""
