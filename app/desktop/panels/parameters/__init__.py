"""Small-signal parameters: of the take that is shown, and what they mean in a box."""
