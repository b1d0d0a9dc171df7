"""Results become frozen states to be painted; nothing here knows Qt."""
