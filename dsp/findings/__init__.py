"""From how a unit differs from its like to what is probably wrong with it."""
