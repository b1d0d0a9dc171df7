"""The store: units, takes, captures, and the trail of what was done."""
