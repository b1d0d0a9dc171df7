"""``dustcap box KIND``: one file a kind of box."""
