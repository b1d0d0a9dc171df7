"""Gain of an amplifier or of any link between two known voltages."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.calibration.budget import BudgetLine, WrittenBudget
from dsp.calibration.calibration import Calibration, Check
from dsp.calibration.gain_response import GainResponse
from dsp.calibration.loopback import KnownOutput
from dsp.calibration.scale import expected_check, known, repeated
from dsp.calibration.sentence import found, minus, small
from dsp.calibration.voltage_scale import meter_checks, meter_lines
from dsp.calibration.voltmeter import Voltmeter, VoltReading
from dsp.errors import DspError
from dsp.response.harmonics import Harmonics
from dsp.response.same_points import check_same_points

QUANTITY = "output.drive.amplifier_gain"
_MOST_SPREAD = 0.01


@dataclass(frozen=True, slots=True, kw_only=True)
class Amplifier:
    """What is known of the link already.

    Attributes
    ----------
    polarity : int
        +1, or -1 where it inverts: a voltmeter does not tell.
    expected : float or None
        V/V with its sign, as the chain states it or as last found.
    response : GainResponse or None
        What it does over frequency; the chain file keeps one number for all frequencies, and
        what it leaves out is uncertain.
    """

    polarity: int = 1
    expected: float | None = None
    response: GainResponse | None = None


def amplifier_gain(
    readings: Sequence[VoltReading],
    *,
    meter: Voltmeter,
    output: KnownOutput,
    amplifier: Amplifier,
) -> Calibration:
    """Find an amplifier's gain from volts at its terminals, with a load as it will have.

    Parameters
    ----------
    readings : sequence of VoltReading
        One or more, best at several levels; at the amplifier's output.
    meter : Voltmeter
        What read them.
    output : KnownOutput
        What drives the amplifier. Where the same meter found its scale, the two errors are in
        part the same and cancel; they are counted in full.
    amplifier : Amplifier
        Polarity and what is expected.

    Returns
    -------
    Calibration, V/V with its sign; budget in %.

    Raises
    ------
    DspError
        No reading, or a polarity that is neither +1 nor -1.
    """
    _refuse_polarity(amplifier)
    if not readings:
        raise DspError("amplifier_gain", "no reading", allowed="one or more")
    volts = [one.volts_rms for one in readings]
    each = np.array(
        [np.sqrt(2) * one.volts_rms / (one.peak * output.full_scale_v) for one in readings]
    )
    mean = float(np.mean(each))
    lines = [*meter_lines(meter, volts=volts)]
    lines.append(
        known("output voltage scale", percent=output.uncertainty_percent / 2, of_chain=True)
    )
    checks = [
        *meter_checks(meter, volts=volts, frequencies_hz=[one.frequency_hz for one in readings])
    ]
    if each.size > 1:
        lines.append(repeated(each / mean, unit="%", scale=100.0))
        spread = float(np.max(np.abs(each / mean - 1)))
        checks.append(
            Check(
                name="spread",
                passed=spread <= _MOST_SPREAD,
                sentence=found(
                    f"gains differ from their mean by up to {small(100 * spread, least=0.001)} %, "
                    f"allowed {100 * _MOST_SPREAD:g} %",
                    passed=spread <= _MOST_SPREAD,
                    otherwise="the amplifier limits, or one reading was mistyped",
                ),
            )
        )
    return _calibration(mean, amplifier=amplifier, lines=lines, checks=checks)


def gain_between(
    after: Harmonics,
    *,
    before: Harmonics,
    scales_uncertainty_percent: float,
    amplifier: Amplifier,
    reference_hz: float = 1000.0,
) -> Calibration:
    """Find a gain from two channels that recorded the voltage before and after it.

    Parameters
    ----------
    after, before : Harmonics
        V, at the same frequencies, the link's divider taken out.
    scales_uncertainty_percent : float
        %, k = 2, of the quotient of the two channels' voltage scales.
    amplifier : Amplifier
        What is expected; the polarity is found.
    reference_hz : float
        Hz; the nearest frequency that was read.

    Returns
    -------
    Calibration, V/V with its sign; budget in %.

    Raises
    ------
    DspError
        Other frequencies, or nothing before the link.
    """
    check_same_points("gain_between", first=after, second=before)
    at = int(np.argmin(np.abs(np.log(after.frequency_hz / reference_hz))))
    top, bottom = complex(after.fundamental[at]), complex(before.fundamental[at])
    if not abs(bottom) > 0:
        raise DspError("gain_between", "nothing before the link", given=abs(bottom))
    gain = top / bottom
    noise = float(np.hypot(after.noise[0, at] / abs(top), before.noise[0, at] / abs(bottom)))
    towards = gain.real / abs(gain)
    turned = Amplifier(
        polarity=1 if towards >= 0 else -1,
        expected=amplifier.expected,
        response=amplifier.response,
    )
    phase = f"phase at {after.frequency_hz[at]:.4g} Hz {np.degrees(np.angle(gain)):.3g}°"
    return _calibration(
        abs(gain),
        amplifier=turned,
        lines=[
            known("input voltage scales", percent=scales_uncertainty_percent / 2),
            known("noise", percent=100 * noise),
        ],
        checks=[
            Check(
                name="polarity",
                passed=bool(abs(towards) >= np.cos(np.pi / 4)),
                sentence=minus(f"{phase}, allowed within 45° of 0° or 180°"),
            )
        ],
    )


def _calibration(
    size: float, *, amplifier: Amplifier, lines: list[BudgetLine], checks: list[Check]
) -> Calibration:
    value = amplifier.polarity * size
    if amplifier.expected is not None:
        checks.append(_sign(value, expected=amplifier.expected))
        checks.append(expected_check(size, expected=abs(amplifier.expected), unit="V/V"))
    if amplifier.response is not None:
        lines.append(
            known(
                "frequency response",
                percent=100 * (10 ** (amplifier.response.flatness_db / 20) - 1) / np.sqrt(3),
            )
        )
    return Calibration(
        quantity=QUANTITY,
        value=value,
        unit="V/V",
        budget=WrittenBudget(unit="%", lines=tuple(lines)),
        checks=tuple(checks),
    )


def _sign(value: float, *, expected: float) -> Check:
    kinds = {True: "inverts", False: "does not invert"}
    return Check(
        name="polarity",
        passed=value * expected > 0,
        sentence=f"the amplifier {kinds[value < 0]}; the chain says that it {kinds[expected < 0]}",
    )


def _refuse_polarity(amplifier: Amplifier) -> None:
    if amplifier.polarity not in {1, -1}:
        raise DspError("amplifier_gain", "polarity", given=amplifier.polarity, allowed="1 or -1")
