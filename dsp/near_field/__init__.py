"""Near field: scaled to the far field, summed over radiators, merged with a gated far field."""
