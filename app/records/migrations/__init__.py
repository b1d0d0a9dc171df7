"""Steps from one schema of the store to the next; run by Store.open."""
