"""How sure a figure is."""
