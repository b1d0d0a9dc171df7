"""The process that holds the card: it makes takes, listens and hears calibrators for the window."""
