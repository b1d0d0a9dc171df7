"""Dustcap against its bars, printed as a table; nothing here passes or fails."""

import app  # noqa: F401  before numpy: it says how many threads a small matrix gets
