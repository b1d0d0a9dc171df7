"""A chain file as short as it may be, for tests that spoil it."""

CHAIN = """name = "bench"
[output.drive]
channel = 1
full_scale_v = 2.0
max_terminal_v_rms = 6.0
[input.pressure]
channel = 1
full_scale_v = 1.0
sensitivity_v_per_pa = 0.05
[input.sense]
channel = 2
full_scale_v = 1.0
resistor_ohm = 0.22
"""
