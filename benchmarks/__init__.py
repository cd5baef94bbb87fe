"""Performance claims, as ratios against a peer measured in the same run on the same work: ``python -m benchmarks``."""
