"""The parts of the Records bay."""
