#!/usr/bin/env python3
"""Write the invented files beside this script: ``.venv/bin/python demo_data/make_demo_data.py``.

A maker of 130 mm, 8 ohm full-range units for passenger announcements in trams; lots are named by
tram line and week. Nothing here was measured on anything real, and every run writes the same bytes.
"""

from pathlib import Path

import numpy as np

HERE = Path(__file__).parent

_BENCH = """# {about}
name = "{name}"

[device]
backend = "virtual"
sample_rate = 48000

[output.drive]
channel = 1
full_scale_v = 2.0
full_scale_uncertainty_percent = 0.2
amplifier_gain = 10.0
amplifier_gain_uncertainty_percent = 0.2
max_terminal_v_rms = 6.0
nominal_ohm = 8.0
calibrated_on = 2026-07-27
{term}
[input.pressure]
channel = 1
full_scale_v = 2.0
full_scale_uncertainty_percent = 0.2
sensitivity_v_per_pa = 0.0125
sensitivity_uncertainty_db = 0.2
preamplifier_gain = 50.0
preamplifier_gain_uncertainty_percent = 0.2
calibrated_on = 2026-07-27
{term}
[input.sense]
channel = 2
full_scale_v = 1.0
full_scale_uncertainty_percent = 0.2
resistor_ohm = 0.22
resistor_uncertainty_percent = 0.1
calibrated_on = 2026-07-27
{term}
[input.terminal]
channel = 3
full_scale_v = 20.0
full_scale_uncertainty_percent = 0.2
calibrated_on = 2026-07-27
{term}
[virtual]
unit = "T130"
seed = {seed}
spread = 1.0
{faults}"""

_SOUND_CARD = """# A pattern for your own bench: one card, an amplifier, a resistor, a microphone.
#
#   card, output 1 -> amplifier -> unit -> resistor 0.22 ohm -> back to the amplifier
#   card, input 1  <- microphone with its preamplifier
#   card, input 2  <- across the resistor
#   card, input 3  <- output 2, which plays the same signal: delay and converters divide out
#
# Wire with the power off. Bridged amplifiers have no grounded terminal: use one that has, or ask
# somebody who is trained for it. Set max_terminal_v_rms to what the unit stands before anything
# plays, and wear hearing protection close to it.
name = "bench 2, tram line 4"

[device]
backend = "soundcard"
# name = "..."                   # as `dustcap devices` lists it; left out: the system's default
sample_rate = 48000

[output.drive]
channel = 1
copy_channel = 2
full_scale_v = 1.98              # measured with a voltmeter: 1.40 V rms for a full-scale sine
full_scale_uncertainty_percent = 0.5
amplifier_gain = 9.87
amplifier_gain_uncertainty_percent = 0.5
max_terminal_v_rms = 6.0
nominal_ohm = 8.0
calibrated_on = 2026-07-27
recalibrate_after_days = 365

[input.pressure]
channel = 1
full_scale_v = 2.21
full_scale_uncertainty_percent = 0.5
sensitivity_v_per_pa = 0.0127    # from the pistonphone, corrected for the day's pressure
sensitivity_uncertainty_db = 0.2
preamplifier_gain = 10.0
preamplifier_gain_uncertainty_percent = 0.5
response = "microphone-0117.csv"
response_uncertainty_db = 0.3
calibrated_on = 2026-07-27
recalibrate_after_days = 30

[input.sense]
channel = 2
full_scale_v = 2.21
full_scale_uncertainty_percent = 0.5
resistor_ohm = 0.2203
resistor_uncertainty_percent = 0.1
calibrated_on = 2026-07-27
recalibrate_after_days = 365

[input.loopback]
channel = 3
full_scale_v = 2.21
full_scale_uncertainty_percent = 0.5
calibrated_on = 2026-07-27
recalibrate_after_days = 365

[ambient]
temperature_c = 23.0
pressure_kpa = 100.8
humidity_percent = 45.0
"""

_TONES = """# A loose particle shows in long tones where a sweep hurries past it.
name = "T4 rattle"
description = "Long tones around resonance, then a short sweep, in one capture."

[excitation]
kind = "series"
level_v_rms = 2.83
parts = [
    {kind = "tones", hz = [60.0, 100.0, 160.0], dwell_s = 0.5},
    {kind = "log_sweep", start_hz = 10.0, stop_hz = 20000.0, duration_s = 1.0},
]

[geometry]
distance_m = 1.0
"""


_PROOF = """# The bench in software for learning to calibrate: it differs from what the file states.
#
# A pistonphone sits on the microphone while nothing is played. [virtual.truth] is what only a rig
# in software can tell; calibrations have to find it. On a real bench there is neither.
name = "bench 3, tram line 4"

[device]
backend = "virtual"
sample_rate = 48000

[output.drive]
channel = 1
full_scale_v = 2.0
full_scale_uncertainty_percent = 1.0
amplifier_gain = 10.0
amplifier_gain_uncertainty_percent = 2.0
max_terminal_v_rms = 6.0
nominal_ohm = 8.0
calibrated_on = 2026-01-12
recalibrate_after_days = 365

[input.pressure]
channel = 1
full_scale_v = 2.0
full_scale_uncertainty_percent = 0.5
sensitivity_v_per_pa = 0.0125    # by the last pistonphone
sensitivity_uncertainty_db = 0.3
preamplifier_gain = 2.0
preamplifier_gain_uncertainty_percent = 0.5
response = "microphone-0117.csv"
response_uncertainty_db = 0.1
calibrated_on = 2026-01-12
recalibrate_after_days = 30

[input.sense]
channel = 2
full_scale_v = 1.0
full_scale_uncertainty_percent = 0.5
resistor_ohm = 0.22
resistor_uncertainty_percent = 2.0
calibrated_on = 2026-01-12
recalibrate_after_days = 365

[input.terminal]
channel = 3
full_scale_v = 20.0
full_scale_uncertainty_percent = 0.5
calibrated_on = 2026-01-12
recalibrate_after_days = 365

[ambient]
temperature_c = 22.4
pressure_kpa = 100.2
humidity_percent = 43.0

[virtual]
unit = "T130"
seed = 417
spread = 1.0

[virtual.calibrator]
kind = "pistonphone"
level_db = 124.04
frequency_hz = 250.0
scatter_db = 0.02

[virtual.truth]
output_full_scale_v = 2.02
amplifier_gain = 9.87
resistor_ohm = 0.2212
lead_ohm = 0.05

[virtual.voltmeter]
off_percent = 0.1
"""


def demo_data() -> dict[str, str]:
    """Write every file.

    Returns
    -------
    dict from file name to text.
    """
    term = "recalibrate_after_days = 90\n"
    return {
        "bench-1.toml": _BENCH.format(
            about="The line's bench in software, with a good unit of lot T4-W31 on it.",
            name="bench 1, tram line 4",
            term="",
            seed=417,
            faults="",
        ),
        "bench-1-weak-magnet.toml": _BENCH.format(
            about="The same bench; unit T4-W31-0418, whose magnet lost 20 % of its flux: it fails.",
            name="bench 1, tram line 4",
            term="",
            seed=418,
            faults="\n[virtual.faults]\nweak_magnet = 0.4\n",
        ),
        "bench-1-stale.toml": _BENCH.format(
            about="The same bench with terms of 90 days: from 2026-10-26 on nothing is decided.",
            name="bench 1, tram line 4",
            term=term,
            seed=417,
            faults="",
        ),
        "bench-2-soundcard.toml": _SOUND_CARD,
        "bench-3-to-calibrate.toml": _PROOF,
        "microphone-0117.csv": _microphone(),
        "t4-rattle.toml": _TONES,
    }


def _microphone() -> str:
    # A second-order roll-off at 6 Hz and a resonance at 19 kHz, re 1 kHz.
    hz = 1000 * 10 ** (np.arange(-20, 14) / 10)
    s = 1j * hz
    response = (s / (s + 6.0)) ** 2 / (1 + s / (19_000 * 0.9) + (s / 19_000) ** 2)
    response /= response[np.argmin(np.abs(hz - 1000))]
    db, deg = 20 * np.log10(np.abs(response)), np.degrees(np.angle(response))
    rows = [f"{f:.1f},{b:.2f},{p:.1f}" for f, b, p in zip(hz, db, deg, strict=True)]
    return "# microphone 0117, invented; dB and deg re 1 kHz\nHz,dB,deg\n" + "\n".join(rows) + "\n"


if __name__ == "__main__":
    for name, text in demo_data().items():
        (HERE / name).write_text(text, encoding="utf-8")
