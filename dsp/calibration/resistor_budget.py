"""Budgets of what known resistors tell, each source followed through the whole solution."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from dsp.arrays import Complexes, Floats
from dsp.calibration.budget import BudgetLine, Kind, WrittenBudget
from dsp.calibration.known_resistor import ResistorReading
from dsp.calibration.resistor_readings import Figures, Readings


@dataclass(frozen=True, slots=True, kw_only=True)
class ResistorBudgets:
    """One for each figure.

    Attributes
    ----------
    scale : WrittenBudget
        %, of the sense resistor.
    lead : WrittenBudget
        ohm.
    check : WrittenBudget
        ohm, of what the model reads on the check resistor, that one's own uncertainty included;
        empty without one.
    """

    scale: WrittenBudget
    lead: WrittenBudget
    check: WrittenBudget


@dataclass(frozen=True, slots=True, kw_only=True)
class _Source:
    """By how much each figure moves in all: contributions of parts that err on their own."""

    name: str
    kind: Kind
    standard: float
    unit: str
    moved: Figures  # for one standard uncertainty, added in squares over the parts
    degrees: float = math.inf


def resistor_budgets(taken: Readings) -> ResistorBudgets:
    """Write the budgets.

    Every source is put off by its standard uncertainty, and the readings are solved again: the
    sensitivities are those of the solution itself (JCGM 100:2008, 5.1.3, note 2).

    Parameters
    ----------
    taken : Readings
        All that was read.

    Returns
    -------
    ResistorBudgets
    """
    found = taken.figures()
    sources = list(_sources(taken))
    own = [_own(taken.check, taken=taken)] if taken.check else []
    return ResistorBudgets(
        scale=_written(sources, unit="%", moved=lambda one: 100 * one.scale_ohm / found.scale_ohm),
        lead=_written(sources, unit="ohm", moved=lambda one: one.lead_ohm),
        check=_written(
            [*sources, *own] if own else (), unit="ohm", moved=lambda one: one.check_ohm
        ),
    )


def _written(
    sources: Sequence[_Source], *, unit: str, moved: Callable[[Figures], float]
) -> WrittenBudget:
    return WrittenBudget(
        unit=unit,
        lines=tuple(
            BudgetLine(
                source=one.name,
                kind=one.kind,
                standard_uncertainty=one.standard,
                unit=one.unit,
                sensitivity=moved(one.moved) / one.standard,
                degrees=one.degrees,
            )
            for one in sources
            if one.standard > 0
        ),
    )


def _sources(taken: Readings) -> Iterator[_Source]:
    yield from _resistors(taken)
    # Of a mean over the band; real parts only, the imaginary ones turn the phase.
    band = taken.in_band
    noise = [
        float(np.sqrt(np.mean(one[band] ** 2) / np.count_nonzero(band))) for one in taken.noise
    ]
    yield _each(
        taken,
        name="noise",
        unit="%",
        standard=100 * max(noise),
        put_off=lambda k, _: _with_ratio(taken, {k: 1 + noise[k]}),
    )
    again = _scatter(taken)
    if again.degrees == 0:
        yield _each(
            taken,
            name="contacts",
            unit="ohm",
            standard=taken.bench.contact_ohm / math.sqrt(3),
            put_off=lambda k, by: _with_ohm(taken, {k: by}),
        )
    else:  # seen, not assumed
        yield _each(
            taken,
            name="repeatability",
            unit="%",
            standard=100 * again.relative,
            put_off=lambda k, by: _with_ratio(taken, {k: 1 + by / 100}),
            kind=Kind.REPEATED,
            degrees=again.degrees,
        )
    yield from _left_out(taken)


def _resistors(taken: Readings) -> Iterator[_Source]:
    # A resistor plugged in twice errs once.
    for ohm in sorted({*taken.ohm}):
        those = [k for k, value in enumerate(taken.ohm) if value == ohm]
        standard = taken.standard_ohm[those[0]]
        if standard > 0:
            yield _Source(
                name=f"resistor {ohm:g} ohm",
                kind=Kind.OTHER,
                standard=standard,
                unit="ohm",
                moved=_difference(taken, _with_ohm(taken, dict.fromkeys(those, standard))),
            )


def _left_out(taken: Readings) -> Iterator[_Source]:
    lead = taken.bench.lead_limit_ohm / math.sqrt(3)
    if not taken.tells_lead and lead > 0:
        there = {k: lead for k, value in enumerate(taken.ohm) if value > 0}
        yield _Source(
            name="lead resistance, not told apart",
            kind=Kind.OTHER,
            standard=lead,
            unit="ohm",
            moved=_difference(taken, _with_ohm(taken, there)),
        )
    coupling = taken.bench.coupling_limit / math.sqrt(3)
    if not taken.tells_coupling and coupling > 0:
        rid = {k: 1 / (1 - coupling * ratio) for k, ratio in enumerate(taken.ratios)}
        yield _Source(
            name="crosstalk, not told apart",
            kind=Kind.OTHER,
            standard=coupling,
            unit="V/V",
            moved=_difference(taken, _with_ratio(taken, rid)),
        )


def _own(check: ResistorReading, *, taken: Readings) -> _Source:
    # Its own value and contact do not pass through the solution.
    resistor = check.resistor
    standard = math.hypot(
        resistor.standard_ohm(temperature_c=taken.bench.temperature_c),
        taken.bench.contact_ohm / math.sqrt(3),
    )
    return _Source(
        name=f"check resistor {resistor.ohm:g} ohm",
        kind=Kind.OTHER,
        standard=standard,
        unit="ohm",
        moved=Figures(scale_ohm=0.0, lead_ohm=0.0, check_ohm=standard),
    )


def _each(
    taken: Readings,
    *,
    name: str,
    unit: str,
    standard: float,
    put_off: Callable[[int, float], Readings],
    kind: Kind = Kind.OTHER,
    degrees: float = math.inf,
) -> _Source:
    moved = [_difference(taken, put_off(k, standard)) for k in range(len(taken.ohm))]
    return _Source(
        name=name,
        kind=kind,
        standard=standard,
        unit=unit,
        moved=Figures(
            scale_ohm=math.hypot(*(one.scale_ohm for one in moved)),
            lead_ohm=math.hypot(*(one.lead_ohm for one in moved)),
            check_ohm=math.hypot(*(one.check_ohm for one in moved)),
        ),
        degrees=degrees,
    )


def _difference(taken: Readings, put_off: Readings) -> Figures:
    before, after = taken.figures(), put_off.figures()
    return Figures(
        scale_ohm=after.scale_ohm - before.scale_ohm,
        lead_ohm=after.lead_ohm - before.lead_ohm,
        check_ohm=after.check_ohm - before.check_ohm,
    )


def _with_ohm(taken: Readings, added: dict[int, float]) -> Readings:
    return replace(taken, ohm=tuple(value + added.get(k, 0.0) for k, value in enumerate(taken.ohm)))


def _with_ratio(taken: Readings, times: dict[int, float] | dict[int, Complexes]) -> Readings:
    return replace(
        taken,
        ratios=tuple(ratio * times.get(k, 1.0) for k, ratio in enumerate(taken.ratios)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scatter:
    relative: float
    degrees: float


def _scatter(taken: Readings) -> _Scatter:
    # Pooled over the resistors that were plugged in more than once (JCGM 100:2008, H.3.6).
    band = taken.in_band
    level: Floats = np.array([float(np.mean(np.abs(ratio[band]))) for ratio in taken.ratios])
    squares, degrees = 0.0, 0
    for ohm in {*taken.ohm} - {0.0}:
        same = level[[value == ohm for value in taken.ohm]]
        squares += float(np.sum((same / same.mean() - 1) ** 2))
        degrees += same.size - 1
    return _Scatter(relative=math.sqrt(squares / degrees) if degrees else 0.0, degrees=degrees)
