"""The rig in software as a device of its own, and the chain file that names it."""

CHAIN = """
name = "rig as a device"
[device]
DEVICE
[output.drive]
channel = 2
full_scale_v = 10.0
max_terminal_v_rms = 5.0
[input.pressure]
channel = 1
full_scale_v = 1.0
sensitivity_v_per_pa = 0.05
[input.sense]
channel = 3
full_scale_v = 2.0
resistor_ohm = 0.22
[input.loopback]
channel = 4
full_scale_v = 20.0
"""
RIG = """
[virtual]
noise_db_spl = 20.0
converter_noise_dbfs = -150.0
"""
