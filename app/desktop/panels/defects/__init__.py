"""Parts of the view over a unit's defects."""
