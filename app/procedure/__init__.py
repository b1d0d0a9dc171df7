"""What to measure: excitation, geometry, quantities and masks, as a file and as data."""
