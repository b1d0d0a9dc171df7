"""The parts of the Limits bay."""
