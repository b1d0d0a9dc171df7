"""The reading of each tone as rows and facts: what repeats, what does not, and where."""

import math
from dataclasses import dataclass

from app.desktop.presenters.figures import NONE, Fact, fact_of, hz_text, minus, value_text
from app.measure.defects_seen import DefectsSeen, Impulse
from app.report.rounding import bound_text
from dsp.defects.figure import Figure
from dsp.defects.tone_defects import ToneDefects

_BOUND = "noise hides it: it is that at most"
_QUARTER = math.pi / 4
_PLACES = ("outermost", "on the way in", "innermost", "on the way out")
_DEPTH_PLACES = 3  # of a modulation that is a bound; of levels whole dB, rows have no room for more


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneRow:
    """One tone among the others.

    Attributes
    ----------
    key : str
        Its place in the reading.
    name : str
        ``60 Hz``.
    repeats, random : str
        dB re the fundamental, peaks; with ≤ where noise hides them.
    clicks : str
        How many.
    """

    key: str
    name: str
    repeats: str
    random: str
    clicks: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ImpulseRow:
    """One impulse: when, how loud, and what was played then."""

    key: str
    time: str
    level: str
    played: str
    is_short: bool


def tone_rows(seen: DefectsSeen) -> tuple[ToneRow, ...]:
    """Present all tones, in playing order."""
    return tuple(
        ToneRow(
            key=str(place),
            name=hz_text(tone.frequency_hz),
            repeats=_short(tone.sync_peak_db),
            random=_short(tone.random_peak_db),
            clicks=str(tone.impulses.short_count),
        )
        for place, tone in enumerate(seen.reading.tones)
    )


def loudest_tone(seen: DefectsSeen) -> int | None:
    """Return which tone is shown first: the one that shows most beside its harmonics."""
    tones = seen.reading.tones
    if not tones:
        return None
    return max(range(len(tones)), key=lambda place: _most(tones[place]))


def tone_facts(seen: DefectsSeen, place: int) -> tuple[Fact, ...]:
    """Present the reading of one tone."""
    tone = seen.reading.tones[place]
    return (
        _level("repeats, peak", tone.sync_peak_db, seen, note="largest magnitude of what repeats"),
        _level("orders 10 to 15", tone.high_order_db, seen, note="together"),
        _plain("its crest", tone.sync_crest, note="peak over rms of what repeats; a sine has 1.41"),
        place_fact(tone),
        _level("random, rms", tone.random_rms_db, seen, note="what does not repeat"),
        _level("random, peak", tone.random_peak_db, seen, note="what does not repeat"),
        _plain(
            "modulation",
            tone.modulation,
            note="0 to 1: how far the power of what does not repeat follows the stroke; a leak "
            "breathes",
        ),
        Fact(
            name="clicks",
            value=str(tone.impulses.short_count),
            note="short impulses that do not repeat",
        ),
        Fact(
            name="periods left out",
            value=str(tone.disturbed_periods),
            unit=f"of {tone.periods}",
            note="something else was heard in them",
        ),
    )


def sweep_facts(seen: DefectsSeen) -> tuple[Fact, ...]:
    """Present what the sweep alone tells, where no tone was played."""
    reading = seen.reading
    return (
        _level("residual, rms", reading.rub_buzz_db, seen, note="largest over frequency"),
        Fact(
            name="clicks",
            value=value_text(reading.impulse_count.value),
            note="short impulses that do not repeat",
        ),
    )


def place_fact(tone: ToneDefects) -> Fact:
    """Present where in the cycle of the cone's displacement what repeats is loudest."""
    name, note = "place in the cycle", "0° outermost, ±180° innermost, −90° on the way out"
    if not math.isfinite(tone.place_rad):
        return Fact(name=name, value=NONE, note=note)
    degrees = minus(f"{math.degrees(tone.place_rad):.0f}")
    return Fact(name=name, value=f"{degrees}°", note=f"{place_words(tone.place_rad)}; {note}")


def place_words(place_rad: float) -> str:
    """Say where in the cycle something is: ``innermost``, ``on the way out``."""
    turned = (place_rad + _QUARTER) % (2 * math.pi)
    return _PLACES[int(turned / (2 * _QUARTER)) % len(_PLACES)]


def impulse_rows(seen: DefectsSeen) -> tuple[ImpulseRow, ...]:
    """Present all impulses, in the order in which they came."""
    return tuple(
        ImpulseRow(
            key=str(place),
            time=f"{one.time_s:.3f}",
            level=minus(f"{one.level_db:.0f}"),
            played=hz_text(one.drive_hz),
            is_short=one.is_short,
        )
        for place, one in enumerate(seen.impulses)
    )


def impulse_words(one: Impulse) -> str:
    """Say all that is known of one impulse."""
    kind = "a click" if one.is_short else "it rings, so it is not counted against the unit"
    return (
        f"At {one.time_s:.3f} s, while {hz_text(one.drive_hz)} played: {one.level_db:.0f} dB "
        f"re 20 µPa, peak; {kind}, {1e3 * one.duration_s:.2g} ms long."
    )


def _most(tone: ToneDefects) -> float:
    # What was heard counts before what is only bounded.
    heard = [
        figure.value
        for figure in (tone.sync_peak_db, tone.random_peak_db)
        if not figure.is_bound and math.isfinite(figure.value)
    ]
    return max(heard, default=-1e3 + tone.sync_peak_db.value)


def _level(name: str, figure: Figure, seen: DefectsSeen, *, note: str) -> Fact:
    fact = fact_of(name, float(figure.value), seen.interval_db(figure), unit="dB", note=note)
    return _bounded(fact, figure)


def _plain(name: str, figure: Figure, *, note: str) -> Fact:
    interval = None if figure.is_bound else float(figure.uncertainty)
    return _bounded(fact_of(name, float(figure.value), interval, unit="", note=note), figure)


def _bounded(fact: Fact, figure: Figure) -> Fact:
    if not figure.is_bound or fact.value == NONE:
        return fact
    return Fact(
        name=fact.name,
        value=bound_text(
            float(figure.value), unit=fact.unit, places=0 if fact.unit else _DEPTH_PLACES
        ),
        unit=fact.unit,
        note=f"{fact.note}; {_BOUND}",
    )


def _short(figure: Figure) -> str:
    if not math.isfinite(figure.value):
        return NONE
    if figure.is_bound:
        return bound_text(float(figure.value), unit="dB", places=0)
    return minus(f"{figure.value:.0f}")
