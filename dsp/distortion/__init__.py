"""What the unit adds: harmonics, their sums, high orders."""
