"""Sound cards by PortAudio, in a process of their own."""
