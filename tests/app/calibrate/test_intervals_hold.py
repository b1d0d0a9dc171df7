"""Intervals of levels and impedances over simulated chains: every link is off, then calibrated.

Truth comes from outside: voltages by Ohm's law, levels by 20 log10 of the quotient, errors drawn
from what each instrument states. What is held to it is what the chain file says afterwards.
"""

import math
from dataclasses import dataclass, field
from datetime import date

import numpy as np
import pytest

from app.calibrate.found import Found
from app.calibrate.written import with_results
from dsp.calibration.budget import BudgetLine, WrittenBudget, stated
from dsp.calibration.calibration import Calibration
from dsp.calibration.gain import Amplifier, amplifier_gain
from dsp.calibration.loopback import KnownOutput
from dsp.calibration.scale import known
from dsp.calibration.voltage_scale import output_scale
from dsp.calibration.voltmeter import Voltmeter, VoltReading
from hardware.chain.budget import impedance_budget, level_budget, source_budget
from hardware.chain.edit import with_chain_values
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.toml_file import read_model_text

RUNS = 500  # a count of them scatters by 0.9 %
DAY = date(2026, 8, 3)
CHAIN = """name = "bench"
[output.drive]
channel = 1
full_scale_v = 2.0
amplifier_gain = 4.0
max_terminal_v_rms = 6.0
nominal_ohm = 8.0
[input.pressure]
channel = 1
full_scale_v = 2.0
sensitivity_v_per_pa = 0.0125
preamplifier_gain = 10.0
preamplifier_gain_uncertainty_percent = 0.8
[input.sense]
channel = 2
full_scale_v = 1.0
resistor_ohm = 0.1
"""
TERMINAL = "[input.terminal]\nchannel = 3\nfull_scale_v = 20.0\n"
LOOPBACK = "[input.loopback]\nchannel = 4\nfull_scale_v = 4.0\n"
# Expanded, k = 2, in %; its last digit is fine enough to be nothing.
METER = Voltmeter(uncertainty_percent=1.2, resolution_v=1e-7)
CALIBRATOR_DB, RESISTOR_PERCENT = 0.1, 0.1
GAIN_PERCENT = 0.8


@dataclass
class Bench:
    """Links as they are, and the chain as calibrations have made it."""

    dice: np.random.Generator
    chain: ChainSnapshot
    one_meter: bool = False
    true: dict[str, float] = field(default_factory=dict)

    @classmethod
    def make(cls, dice: np.random.Generator, more: str, *, one_meter: bool) -> "Bench":
        chain = read_model_text(CHAIN + more, name="chain.toml", model=Chain)
        bench = cls(dice=dice, chain=ChainSnapshot(chain=chain), one_meter=one_meter)
        bench.true["meter"] = bench.drawn(1.0, METER.uncertainty_percent)
        drive = chain.output.drive
        bench.true |= {
            "output": drive.full_scale_v * dice.normal(1, 0.02),
            "amplifier": drive.amplifier_gain * dice.normal(1, 0.02),
            "preamplifier": bench.drawn(10.0, GAIN_PERCENT),
            "resistor": 0.1 * dice.normal(1, 0.02),
            "microphone": 0.0125 * dice.normal(1, 0.05),
        } | {name: link.full_scale_v * dice.normal(1, 0.02) for name, link in bench.wired.items()}
        return bench

    @property
    def wired(self):  # type: ignore[no-untyped-def]
        return self.chain.chain.input.wired

    @property
    def meter(self) -> float:
        """What a meter shows for one volt."""
        return self.true["meter"] if self.one_meter else self.drawn(1.0, METER.uncertainty_percent)

    def drawn(self, value: float, percent: float) -> float:
        return value * float(self.dice.normal(1, percent / 200))

    def take(self, *results: Calibration, link: str, rests_on: tuple[str, ...] = ()) -> None:
        found = Found(link=link, results=results, method="", given={}, rests_on=rests_on)
        self.chain = with_results(self.chain, found, on=DAY, others={})

    def calibrate_output(self) -> None:
        volts = 0.5 * self.true["output"] / math.sqrt(2) * self.meter
        reading = VoltReading(volts_rms=volts, peak=0.5, frequency_hz=1000.0)
        self.take(output_scale([reading], meter=METER), link="output.drive")

    def calibrate_amplifier(self) -> None:
        drive = self.chain.chain.output.drive
        across = 0.5 * self.true["output"] * self.true["amplifier"] / math.sqrt(2)
        found = amplifier_gain(
            [VoltReading(volts_rms=across * self.meter, peak=0.5, frequency_hz=1000.0)],
            meter=METER,
            output=KnownOutput(
                full_scale_v=drive.full_scale_v,
                uncertainty_percent=drive.full_scale_uncertainty_percent,
            ),
            amplifier=Amplifier(),
        )
        self.take(found, link="output.drive", rests_on=("output.drive.full_scale_v",))

    def calibrate_input(self, name: str, *, from_output: bool) -> None:
        # Volts over what the input recorded of them.
        drive = self.chain.chain.output.drive
        volts = 0.5 * self.true["output"]
        if from_output:
            said = 0.5 * drive.full_scale_v
            percent = drive.full_scale_uncertainty_percent / 2
            line = known("output voltage scale", percent=percent, of_chain=True)
        else:
            said, line = volts * self.meter, known("voltmeter", percent=0.6)
        found = result(
            f"input.{name}.full_scale_v", said / (volts / self.true[name]), line, unit="%"
        )
        rests = ("output.drive.full_scale_v",) if from_output else ()
        self.take(found, link=f"input.{name}", rests_on=rests)

    def calibrate_microphone(self) -> None:
        mic = self.chain.chain.input.pressure
        assert mic is not None
        level_off = 10 ** (self.dice.normal(0.0, CALIBRATOR_DB / 2) / 20)
        recorded = self.true["microphone"] * self.true["preamplifier"] / self.true["pressure"]
        value = recorded * level_off * mic.full_scale_v / mic.preamplifier_gain
        found = result(
            "input.pressure.sensitivity_v_per_pa",
            value,
            stated("instrument", standard=CALIBRATOR_DB / 2, unit="dB"),
            stated(
                "input voltage scale",
                standard=mic.full_scale_uncertainty_percent / 2,
                unit="%",
                sensitivity=0.0869,
                of_chain=True,
            ),
            stated("gain", standard=0.4, unit="%", sensitivity=0.0869, of_chain=True),
            unit="dB",
        )
        rests = ("full_scale_v", "preamplifier_gain")
        self.take(
            found, link="input.pressure", rests_on=tuple(f"input.pressure.{one}" for one in rests)
        )

    def calibrate_resistor(self) -> None:
        sense, terminal = self.chain.chain.input.sense, self.chain.chain.input.terminal
        assert sense is not None
        assert terminal is not None
        known_off = self.dice.normal(1, RESISTOR_PERCENT / 200)
        sensed = sense.full_scale_v / self.true["sense"]
        across = terminal.full_scale_v / self.true["terminal"]
        value = self.true["resistor"] * known_off * sensed / across
        found = result("input.sense.resistor_ohm", value, known("resistor", percent=0.05), unit="%")
        keys = ("sense.full_scale_v", "sense.gain", "terminal.full_scale_v", "terminal.gain")
        self.take(found, link="input.sense", rests_on=tuple(f"input.{key}" for key in keys))

    def level_off_db(self) -> float:
        """Level re the voltage across the unit, as read, less the true one."""
        chain = self.chain.chain
        mic, drive = chain.input.pressure, chain.output.drive
        assert mic is not None
        # One pascal, and one volt played.
        recorded = self.true["microphone"] * self.true["preamplifier"] / self.true["pressure"]
        pascal = recorded * mic.full_scale_v / (mic.preamplifier_gain * mic.sensitivity_v_per_pa)
        across = self.true["output"] * self.true["amplifier"]
        if (terminal := chain.input.terminal) is not None:
            volts = across / self.true["terminal"] * terminal.full_scale_v
        elif (loop := chain.input.loopback) is not None:
            jack = self.true["output"] / self.true["loopback"] * loop.full_scale_v
            volts = jack * drive.amplifier_gain
        else:
            volts = drive.full_scale_v * drive.amplifier_gain
        return float(20 * math.log10(pascal / (volts / across)))

    def impedance_off_percent(self) -> float:
        sense, terminal = self.chain.chain.input.sense, self.chain.chain.input.terminal
        assert sense is not None
        current = sense.full_scale_v / self.true["sense"] / sense.resistor_ohm
        current *= self.true["resistor"]
        if terminal is not None:
            volts = terminal.full_scale_v / self.true["terminal"]
        else:
            drive = self.chain.chain.output.drive
            volts = drive.full_scale_v * drive.amplifier_gain
            volts /= self.true["output"] * self.true["amplifier"]
        return 100 * (volts / current - 1)


def result(quantity: str, value: float, *lines: BudgetLine, unit: str) -> Calibration:
    units = {"sensitivity_v_per_pa": "V/Pa", "resistor_ohm": "ohm", "full_scale_v": "V"}
    return Calibration(
        quantity=quantity,
        value=value,
        unit=units[quantity.rpartition(".")[2]],
        budget=WrittenBudget(unit=unit, lines=lines),
        checks=(),
    )


def whole(dice: np.random.Generator, topology: str, *, one_meter: bool = False) -> Bench:
    more = {"terminal": TERMINAL, "loopback": LOOPBACK}.get(topology.partition(" ")[0], "")
    bench = Bench.make(dice, more, one_meter=one_meter)
    from_output = topology.endswith("from output")
    bench.calibrate_output()
    bench.calibrate_amplifier()
    for name in bench.wired:
        bench.calibrate_input(name, from_output=from_output)
    bench.calibrate_microphone()
    return bench


TOPOLOGIES = ["drive", "loopback", "loopback from output", "terminal", "terminal from output"]


@pytest.mark.parametrize("topology", TOPOLOGIES)
def test_a_level_holds_in_93_to_97_of_100_chains(topology: str) -> None:
    dice, held = np.random.default_rng(77), 0
    for _ in range(RUNS):
        bench = whole(dice, topology)
        interval = 2 * level_budget(bench.chain.chain).standard_uncertainty
        held += abs(bench.level_off_db()) <= interval
    assert 0.93 <= held / RUNS <= 0.97


@pytest.mark.parametrize("topology", ["drive", "loopback from output"])
def test_it_holds_where_scales_were_found_anew_or_a_gain_was_switched(topology: str) -> None:
    dice, held = np.random.default_rng(6), 0
    for _ in range(RUNS):
        bench = whole(dice, topology)
        # The output's scale is found anew, and the preamplifier is switched tenfold down.
        bench.calibrate_output()
        bench.true["preamplifier"] = bench.drawn(1.0, GAIN_PERCENT)
        bench.chain = with_chain_values(
            bench.chain, {("input", "pressure", "preamplifier_gain"): 1.0}
        )
        interval = 2 * level_budget(bench.chain.chain).standard_uncertainty
        held += abs(bench.level_off_db()) <= interval
    assert 0.93 <= held / RUNS <= 0.97


def test_one_meter_for_all_makes_intervals_too_wide_rather_than_too_narrow() -> None:
    dice, held = np.random.default_rng(9), 0
    for _ in range(RUNS):
        bench = whole(dice, "loopback", one_meter=True)
        interval = 2 * level_budget(bench.chain.chain).standard_uncertainty
        held += abs(bench.level_off_db()) <= interval
    assert held / RUNS >= 0.95


def test_what_cancels_makes_a_level_no_wider() -> None:
    bench = whole(np.random.default_rng(7), "drive")
    budget = level_budget(bench.chain.chain)
    least = 0.05 * budget.standard_uncertainty  # the drop across the sense resistor is below
    counted = {line.key for line in budget.contributions if line.contribution > least}
    # The calibrator's certificate, and the meter at the amplifier's terminals; nothing between.
    assert counted == {
        "input.pressure.sensitivity_uncertainty_db",
        "output.drive.amplifier_gain_uncertainty_percent",
    }
    # A sensitivity typed from a certificate shares nothing: the input counts in full.
    typed = with_chain_values(bench.chain, {("input", "pressure", "sensitivity_v_per_pa"): 0.01251})
    keys = {one.key for one in level_budget(typed.chain).contributions if one.contribution}
    assert "input.pressure.full_scale_uncertainty_percent" in keys
    assert "input.pressure.preamplifier_gain_uncertainty_percent" in keys


@pytest.mark.parametrize("then_unwired", [False, True])
def test_an_impedance_holds_with_the_tap_and_without(then_unwired: bool) -> None:
    dice, held = np.random.default_rng(8), 0
    for _ in range(RUNS):
        bench = whole(dice, "terminal")
        bench.calibrate_resistor()
        budget = impedance_budget
        if then_unwired:  # the tap served the calibration alone
            bench.chain = with_chain_values(bench.chain, {("input", "terminal"): None})
            budget = source_budget
        interval = 2 * budget(bench.chain.chain).standard_uncertainty
        if then_unwired:
            sense = bench.chain.chain.input.sense
            assert sense is not None
            interval = math.hypot(interval, sense.resistor_uncertainty_percent)
        held += abs(bench.impedance_off_percent()) <= interval
    assert 0.93 <= held / RUNS <= 0.975
