"""``dustcap limits``: limit sets, their revisions, and their files."""
