"""The main job against the closed form of a linear unit, through files alone.

render -> a simulation that shares no code with Dustcap -> derive. Bars: 0.01 dB and 0.1 degrees
with a 2 s sweep from an octave below, 0.02 dB and 0.2 degrees with 1 s; impedance 0.1 % and 0.1
degrees; 80 dB signal to noise, 20 Hz to 20 kHz.
"""

import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from app.cli.main import main
from tests.app.outside_unit import Bench, Floats, OutsideUnit, record

LOG_SWEEP = """
name = "outside"
[excitation]
kind = "log_sweep"
start_hz = 10
stop_hz = 20000
duration_s = {duration}
level_v_rms = 2.83
[geometry]
distance_m = 1.0
reference_distance_m = 1.0
"""

STEPPED = """
name = "outside"
[excitation]
kind = "stepped_sine"
zones = [
    {{from_hz = 20000, to_hz = 2500, per_octave = 12}},
    {{from_hz = 2400, to_hz = 200, per_octave = 6}},
    {{from_hz = 190, to_hz = 40, per_octave = 12}},
]
settle_periods = 1
settle_s = 0.02
hold_periods = 5
hold_s = 0.02
level_v_rms = 2.83
[geometry]
distance_m = 1.0
reference_distance_m = 1.0
"""


@dataclass(frozen=True, kw_only=True)
class Case:
    rate: int = 48_000
    duration: float = 1.0
    channels: dict[str, int] = field(default_factory=lambda: {"pressure": 1, "sense": 2})
    offset_s: float = 0.25
    ppm: float = 0.0
    leads: int = 1
    procedure: str = LOG_SWEEP

    def __str__(self) -> str:
        kind = "stepped" if self.procedure == STEPPED else f"{self.duration:g}s"
        wired = "+".join(f"{name}{channel}" for name, channel in self.channels.items())
        leads = "" if self.leads > 0 else "-swapped"
        return f"{kind}-{self.rate}-{wired}-{self.offset_s:g}s-{self.ppm:g}ppm{leads}"


LOOPED = {"pressure": 1, "sense": 2, "loopback": 3}
TAPPED = {"pressure": 1, "sense": 2, "terminal": 3}
CASES = [
    Case(),
    Case(duration=2.0),
    Case(rate=44_100),
    Case(rate=96_000, duration=2.0),
    Case(channels=LOOPED),
    Case(channels=LOOPED, duration=2.0, rate=44_100, offset_s=0.9137641),
    Case(channels=TAPPED, offset_s=0.1),
    Case(ppm=50.0),
    Case(ppm=-50.0, channels=LOOPED),
    Case(ppm=50.0, duration=2.0, offset_s=0.51234567),
    Case(channels={"sense": 1, "pressure": 4}, offset_s=0.0),
    Case(leads=-1, offset_s=0.7654321),
    Case(procedure=STEPPED),
    Case(procedure=STEPPED, ppm=50.0, offset_s=0.3333333),
    Case(procedure=STEPPED, channels=LOOPED, rate=44_100),
]


def chain_text(case: Case, bench: Bench) -> str:
    text = f"""
name = "outside"
[device]
backend = "virtual"
sample_rate = {case.rate}
[output.drive]
channel = 1
full_scale_v = {bench.output_v}
amplifier_gain = {bench.gain}
max_terminal_v_rms = 6.0
nominal_ohm = 8.0
[input.pressure]
channel = {case.channels["pressure"]}
full_scale_v = {bench.pressure_v}
sensitivity_v_per_pa = {bench.v_per_pa}
preamplifier_gain = 1.0
[input.sense]
channel = {case.channels["sense"]}
full_scale_v = {bench.sense_v}
resistor_ohm = {bench.resistor_ohm}
gain = 1.0
"""
    for name, volts, extra in (
        ("terminal", bench.terminal_v, "gain = 1.0"),
        ("loopback", bench.loopback_v, ""),
    ):
        if name in case.channels:
            head = f"[input.{name}]\nchannel = {case.channels[name]}\n"
            text += f"{head}full_scale_v = {volts}\n{extra}\n"
    return text


@pytest.mark.parametrize("case", CASES, ids=str)
def test_a_recording_made_elsewhere_gives_the_closed_form(
    case: Case, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bench, unit = Bench(rate=case.rate), OutsideUnit(leads=case.leads)
    chain, procedure = tmp_path / "chain.toml", tmp_path / "procedure.toml"
    chain.write_text(chain_text(case, bench))
    procedure.write_text(case.procedure.format(duration=case.duration))
    x, recording = tmp_path / "x.wav", tmp_path / "recording.wav"
    assert main(["render", str(procedure), "--chain", str(chain), "--out", str(x)]) == 0
    played, rate = soundfile.read(x)
    assert rate == case.rate
    samples = record(
        played,
        unit=unit,
        bench=bench,
        channels=case.channels,
        offset_s=case.offset_s,
        ppm=case.ppm,
        rng=np.random.default_rng(7),
    )
    soundfile.write(recording, samples, case.rate, subtype="FLOAT")
    capsys.readouterr()
    arguments = ["--procedure", str(procedure), "--chain", str(chain), "--json"]
    assert main(["derive", str(recording), *arguments]) == 0
    found = json.loads(capsys.readouterr().out)
    level_bar, phase_bar = (0.01, 0.1) if case.duration == 2.0 else (0.02, 0.2)
    errors = misses(found, unit=unit)
    assert errors["impedance %"] <= 0.1
    assert errors["impedance deg"] <= 0.1
    assert errors["level dB"] <= level_bar
    assert errors["phase deg"] <= phase_bar
    assert found["numbers"]["polarity"]["value"] == case.leads


def misses(found: dict[str, Any], *, unit: OutsideUnit) -> dict[str, float]:
    """Largest error of each quantity between 20 Hz and 20 kHz."""

    def curve(name: str) -> tuple[Floats, Floats]:
        f = np.asarray(found["curves"][name]["frequency_hz"])
        v = np.asarray(found["curves"][name]["value"], dtype=float)
        inside = (f >= 20) & (f <= 20_000)
        return f[inside], v[inside]

    f, z = curve("impedance")
    _, z_deg = curve("impedance_phase")
    truth_z = unit.impedance(f)
    g, level = curve("level")
    truth_p = unit.pressure_per_volt(g, 1.0)
    truth_level = 20 * np.log10(np.abs(truth_p) * 2.83 / 20e-6)
    _, phase = curve("level_phase")
    delay = found["numbers"]["delay_s"]["value"]
    whole = phase - 360 * g * delay
    return {
        "impedance %": float(np.max(np.abs(z / np.abs(truth_z) - 1)) * 100),
        "impedance deg": turn(z_deg - np.degrees(np.angle(truth_z))),
        "level dB": float(np.max(np.abs(level - truth_level))),
        "phase deg": turn(whole - np.degrees(np.angle(truth_p))),
    }


def turn(degrees: Floats) -> float:
    """Largest angle, whole turns apart."""
    return float(np.max(np.abs((degrees + 180) % 360 - 180)))
