"""Electro-mechanical parameters: the lumped model behind an impedance, and what follows from it."""
