"""Readings on known resistors, together: what is solved, and solved again with one of them off."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dsp.arrays import Bools, Complexes, Floats
from dsp.calibration.known_resistor import ChannelPair, ResistorReading
from dsp.calibration.resistor_model import Form, ResistorModel, form_for, solve_resistors
from dsp.errors import DspError


@dataclass(frozen=True, slots=True, kw_only=True)
class ResistorBench:
    """What is known of the set-up, and how sure.

    Attributes
    ----------
    stated_ohm : float
        ohm, the sense resistor by the chain file.
    contact_ohm : float
        ohm, by how much a contact may differ from one plugging to the next, at most.
    lead_limit_ohm : float
        ohm, the most that leads can have where one resistor cannot tell.
    coupling_limit : float
        Most volts that a volt across the unit makes in the sense channel, where it is not solved.
    temperature_c : float
        °C of the resistors.
    band_hz : tuple of two floats
        Hz, between which the figures are averaged.
    """

    stated_ohm: float
    contact_ohm: float = 0.005
    lead_limit_ohm: float = 0.02
    coupling_limit: float = 0.0
    temperature_c: float = 23.0
    band_hz: tuple[float, float] = (100.0, 1000.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """What is told of a model in single numbers: means over the band.

    Attributes
    ----------
    scale_ohm, lead_ohm : float
        ohm.
    check_ohm : float
        ohm, the check resistor as the whole model reads it; NaN without one.
    """

    scale_ohm: float
    lead_ohm: float
    check_ohm: float


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Readings:
    """All that was read, with what is known of each resistor.

    Attributes
    ----------
    bench : ResistorBench
        The set-up.
    frequency_hz : (m,) array
        Hz.
    ratios : tuple of k (m,) complex arrays
        Voltage across the unit over sense voltage.
    noise : tuple of k (m,) arrays
        Relative standard deviation of either part of each ratio.
    ohm, standard_ohm, inductance_h : tuples of k floats
        ohm, ohm, H; value and standard uncertainty of each resistor, and the most inductance that
        it has.
    form : str
        What is solved for.
    open_ratio : (m,) complex array or None
        With nothing connected.
    check : ResistorReading or None
        The check resistor.
    clipped_ohm : tuple of float
        ohm, of those on which an input clipped.
    """

    bench: ResistorBench
    frequency_hz: Floats
    ratios: tuple[Complexes, ...]
    noise: tuple[Floats, ...]
    ohm: tuple[float, ...]
    standard_ohm: tuple[float, ...]
    inductance_h: tuple[float, ...]
    form: Form
    open_ratio: Complexes | None
    check: ResistorReading | None
    clipped_ohm: tuple[float, ...]

    @property
    def tells_lead(self) -> bool:
        """Whether a lead resistance is found."""
        return self.form in {"lead", "whole"}

    @property
    def tells_coupling(self) -> bool:
        """Whether crosstalk is found."""
        return self.form == "whole" or self.open_ratio is not None

    @property
    def in_band(self) -> Bools:
        """Which frequencies the figures are averaged over, (m,)."""
        low, high = self.bench.band_hz
        inside: Bools = (self.frequency_hz >= low) & (self.frequency_hz <= high)
        return inside

    def solve(self) -> ResistorModel:
        """Find the model.

        Returns
        -------
        ResistorModel
        """
        return solve_resistors(
            self.ratios,
            ohm=self.ohm,
            standard_ohm=[float(np.hypot(u, self.bench.contact_ohm)) for u in self.standard_ohm],
            frequency_hz=self.frequency_hz,
            form=self.form,
            open_ratio=self.open_ratio,
        )

    def figures(self) -> Figures:
        """Solve, and average over the band.

        Returns
        -------
        Figures
        """
        model = self.solve()
        check = (
            np.full(self.frequency_hz.shape, np.nan)
            if self.check is None
            else model.impedance(self.check.pair.ratio).real
        )
        band = self.in_band
        scale = model.scale_ohm[band]
        return Figures(
            # By size: a delay between the channels turns it, and is told as one.
            scale_ohm=float(np.mean(np.copysign(np.abs(scale), scale.real))),
            lead_ohm=float(np.mean(model.lead_ohm[band].real)),
            check_ohm=float(np.mean(check[band])),
        )


def gather(
    readings: Sequence[ResistorReading],
    *,
    bench: ResistorBench,
    check: ResistorReading | None,
    open_circuit: ChannelPair | None,
) -> Readings:
    """Bring readings together.

    Parameters
    ----------
    readings : sequence of ResistorReading
        In any order.
    bench : ResistorBench
        The set-up.
    check : ResistorReading or None
        Read, but not used.
    open_circuit : ChannelPair or None
        With nothing connected.

    Returns
    -------
    Readings

    Raises
    ------
    DspError
        No resistor above 0 ohm, readings at other frequencies, none in the band.
    """
    where = "calibrate_resistors"
    if not any(one.resistor.ohm > 0 for one in readings):
        raise DspError(where, "no resistor", allowed="at least one above 0 ohm")
    hz = readings[0].pair.frequency_hz
    pairs = [one.pair for one in readings]
    pairs += [check.pair] if check else []
    pairs += [open_circuit] if open_circuit else []
    for pair in pairs:
        if not np.array_equal(pair.frequency_hz, hz):
            raise DspError(where, "read at other frequencies", given=pair.frequency_hz.size)
    low, high = bench.band_hz
    if not np.any((hz >= low) & (hz <= high)):
        raise DspError(where, "no frequency in the band", allowed=f"{low:g} to {high:g} Hz")
    different = len({one.resistor.ohm for one in readings})
    form = form_for(different, has_open=open_circuit is not None)
    return Readings(
        bench=bench,
        frequency_hz=hz,
        ratios=tuple(one.pair.ratio for one in readings),
        noise=tuple(one.pair.relative_noise for one in readings),
        ohm=tuple(one.resistor.ohm for one in readings),
        standard_ohm=tuple(
            one.resistor.standard_ohm(temperature_c=bench.temperature_c) for one in readings
        ),
        inductance_h=tuple(one.resistor.inductance_h for one in readings),
        form=form,
        open_ratio=open_circuit.ratio if open_circuit else None,
        check=check,
        clipped_ohm=tuple(
            one.resistor.ohm for one in [*readings, *([check] if check else [])] if one.pair.clipped
        ),
    )
