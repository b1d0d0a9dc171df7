"""Near and far field of a unit, merged in the Measure bay."""
