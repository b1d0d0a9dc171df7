"""The chain as a living drawing, above every bay."""
