"""Sense resistor, lead resistance and crosstalk from known resistors in the unit's place."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Complexes
from dsp.calibration.calibration import Calibration
from dsp.calibration.gain_mismatch import gain_mismatch
from dsp.calibration.known_resistor import ChannelPair, ResistorReading
from dsp.calibration.resistor_budget import resistor_budgets
from dsp.calibration.resistor_checks import Found, check_resistor_check, reading_checks
from dsp.calibration.resistor_model import ResistorModel
from dsp.calibration.resistor_readings import Readings, ResistorBench, gather
from dsp.calibration.skew import skew_calibration
from dsp.curve import Curve, ValidRange

COPPER = (
    "Leads and voice coils of copper gain 0.39 % of their resistance for each kelvin: what was "
    "found holds at the temperature of the day, and a coil that warmed up by 1 K reads 0.39 % high."
)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ResistorCalibration:
    """What known resistors told.

    Attributes
    ----------
    resistor : Calibration
        ohm by which sense voltages give the right impedance: the sense resistor with the
        difference of both channels' gains in it.
    lead : Calibration or None
        ohm between tap and unit; None where too few resistors were read.
    mismatch : Calibration or None
        %, by how much the voltage channel reads more than the sense channel; None where both were
        not held to one voltage.
    model : ResistorModel
        Over frequency, crosstalk and skew of the channels included.
    late : Calibration
        s by which the sense input lags the voltage input.
    residual, residual_of_chain : Curve or None
        %, magnitude of the impedance of the check resistor over its value: by the whole model,
        and as the chain will read it, which keeps resistor, leads and delay as one number each
        and knows of no crosstalk. None without a check resistor.
    enclosed_ohm : tuple of two floats
        ohm, between which impedances are interpolated and beyond which tolerances grow.
    remarks : tuple of str
        What is left to the person.
    """

    resistor: Calibration
    lead: Calibration | None
    mismatch: Calibration | None
    model: ResistorModel
    late: Calibration
    residual: Curve | None
    residual_of_chain: Curve | None
    enclosed_ohm: tuple[float, float]
    remarks: tuple[str, ...]

    @property
    def calibrations(self) -> tuple[Calibration, ...]:
        """All that there are."""
        each = (self.resistor, self.lead, self.late, self.mismatch)
        return tuple(one for one in each if one is not None)


def calibrate_resistors(
    readings: Sequence[ResistorReading],
    *,
    bench: ResistorBench,
    check: ResistorReading | None = None,
    open_circuit: ChannelPair | None = None,
    together: ChannelPair | None = None,
) -> ResistorCalibration:
    """Find what turns the ratio of two voltages into an impedance.

    Parameters
    ----------
    readings : sequence of ResistorReading
        One to many; a short is one of 0 ohm; a resistor plugged in again shows how well contacts
        repeat.
    bench : ResistorBench
        What is known of the set-up.
    check : ResistorReading or None
        A resistor that is not used, only read.
    open_circuit : ChannelPair or None
        Nothing in the unit's place: what is sensed then is crosstalk.
    together : ChannelPair or None
        Both inputs on one voltage: tells their gains apart.

    Returns
    -------
    ResistorCalibration

    Raises
    ------
    DspError
        No resistor above 0 ohm, readings at other frequencies, none in the band.
    """
    taken = gather(readings, bench=bench, check=check, open_circuit=open_circuit)
    model, figures, budgets = taken.solve(), taken.figures(), resistor_budgets(taken)
    found = Found(
        scale_ohm=figures.scale_ohm,
        lead_ohm=figures.lead_ohm if taken.tells_lead else None,
        lead_uncertainty_ohm=budgets.lead.expanded,
    )
    checks = reading_checks(taken, found=found)
    if check is not None:
        checks += (check_resistor_check(taken, read_ohm=figures.check_ohm, budget=budgets.check),)
    late = skew_calibration(taken, model=model)
    values = sorted(one.resistor.ohm for one in readings)
    return ResistorCalibration(
        resistor=Calibration(
            quantity="input.sense.resistor_ohm",
            value=figures.scale_ohm,
            unit="ohm",
            budget=budgets.scale,
            checks=checks,
        ),
        lead=Calibration(
            quantity="input.sense.lead_ohm",
            value=figures.lead_ohm,
            unit="ohm",
            budget=budgets.lead,
            checks=checks,
        )
        if taken.tells_lead
        else None,
        mismatch=gain_mismatch(together, band_hz=bench.band_hz) if together else None,
        model=model,
        late=late,
        residual=_residual(check, read=model.impedance(check.pair.ratio)) if check else None,
        residual_of_chain=_residual(check, read=_as_chain(check, found=found, late_s=late.value))
        if check
        else None,
        enclosed_ohm=(values[0], values[-1]),
        remarks=tuple(_remarks(taken, enclosed=(values[0], values[-1]))),
    )


def _as_chain(check: ResistorReading, *, found: Found, late_s: float) -> Complexes:
    turn = np.exp(-2j * np.pi * check.pair.frequency_hz * late_s)
    read: Complexes = found.scale_ohm * check.pair.ratio * turn
    return read - (found.lead_ohm or 0.0)


def _remarks(taken: Readings, *, enclosed: tuple[float, float]) -> Iterator[str]:
    yield COPPER
    low, high = enclosed
    if low < high:
        yield (
            f"Impedances from {low:g} to {high:g} ohm lie between the resistors that were used; "
            "beyond, their tolerances grow."
        )
    if not taken.tells_lead:
        yield (
            "One resistor does not tell what the leads have: a short, or a second resistor at "
            "least one and a half times as large, does."
        )


def _residual(check: ResistorReading, *, read: Complexes) -> Curve:
    hz, ohm = check.pair.frequency_hz, check.resistor.ohm
    return Curve(
        frequency_hz=hz,
        value=100 * (np.abs(read) / ohm - 1),
        unit="%",
        valid=ValidRange(low_hz=float(hz[0]), high_hz=float(hz[-1])),
        uncertainty=200 * check.pair.relative_noise,
        how=f"check resistor of {ohm:g} ohm; uncertainty of noise alone",
    )
