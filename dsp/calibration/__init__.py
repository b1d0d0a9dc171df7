"""A link's worth from what it gave for a known cause, with a written budget of its uncertainty."""
