"""Pressure at the microphone: level, phase, delay, polarity, sensitivity, noise."""
