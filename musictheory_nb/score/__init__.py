"""Real scores: reading into one note table, and the keys, harmony, form and texture found in it."""
