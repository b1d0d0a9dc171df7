"""Irregular defects: what a unit adds that is no regular harmonic, and what of it repeats."""
