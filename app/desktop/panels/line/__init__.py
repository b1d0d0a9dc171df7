"""Parts of the Line bay."""
