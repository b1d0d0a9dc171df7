"""The measuring chain: its file, its links and what they are calibrated to."""
