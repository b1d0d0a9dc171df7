"""The numbers of a take, each with its interval, its unit, and a mark where it is in doubt."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from app.desktop.presenters.figures import NONE, Fact, fact_of
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_names import (
    COUNTS,
    EVIDENCE,
    NUMBERS,
    PARAMETERS,
    number_as,
)
from app.records.take import Take
from app.report.rounding import bound_text
from dsp import Number
from hardware.chain.schema import Chain

# Where masks need the room: parameters have a card of their own, the record has the rest.
_ELSEWHERE = PARAMETERS - {"fs_hz"} | EVIDENCE | {"delay_s", "clock_offset_ppm"}
_ACOUSTIC = ("sensitivity_db", "polarity", "delay_s")


@dataclass(frozen=True, slots=True, kw_only=True)
class NumbersState:
    """What stands under the head Numbers.

    Attributes
    ----------
    facts : tuple of Fact
        In reading order.
    keys : tuple of str
        Name of each in the record.
    told : str
        The quiet fact in the head: whose numbers, and the coverage factor.
    old : bool
        Whether they belong to a take before the one that plays.
    """

    facts: tuple[Fact, ...]
    keys: tuple[str, ...]
    told: str
    old: bool = False


def numbers_state(
    take: Take, *, number: int, marks: Mapping[str, Mark], old: bool = False, note: str = ""
) -> NumbersState:
    """Present the numbers of a take.

    Parameters
    ----------
    take : Take
        What is shown.
    number : int
        Its running number in the store.
    marks : mapping of str to Mark
        Of figures that are stale or not to be trusted, by name.
    old : bool
        Whether another take is being made meanwhile.
    note : str
        What sets them apart from those in the record.
    """
    keys = _in_order(name for name in take.numbers if not (take.masks and name in _ELSEWHERE))
    return NumbersState(
        facts=tuple(_fact(key, take.numbers[key], mark=marks.get(key)) for key in keys),
        keys=keys,
        told=", ".join(
            filter(None, (f"take {number}", note, f"k = {_coverage(take.numbers.values())}"))
        ),
        old=old,
    )


def no_numbers(chain: Chain) -> NumbersState:
    """Present the places of the numbers that a chain will give, before there is any."""
    keys = _ACOUSTIC if chain.input.pressure else ()
    shown = [number_as(key) for key in keys]
    return NumbersState(
        facts=tuple(Fact(name=one.name, value="–", unit=one.unit) for one in shown),
        keys=keys,
        told="k = 2",
    )


def _in_order(names: Iterable[str]) -> tuple[str, ...]:
    rank = {name: place for place, name in enumerate(NUMBERS)}
    return tuple(sorted(names, key=lambda name: rank.get(name, len(rank))))


def _fact(key: str, number: Number, *, mark: Mark | None) -> Fact:
    shown = number_as(key, unit=number.unit)
    mark = mark or (None if number.trusted else Mark.CAUTION)
    if key in COUNTS:
        return Fact(
            name=shown.name,
            value=_whole(key, number.value),
            mark=mark,
            note=number.reason or number.how,
        )
    interval = None if number.uncertainty is None else number.uncertainty * shown.scale
    fact = fact_of(
        shown.name,
        number.value * shown.scale,
        interval,
        unit=shown.unit,
        mark=mark,
        note=number.reason or number.how,
    )
    if not number.is_bound:
        return fact
    return replace(fact, value=bound_text(number.value * shown.scale, unit=shown.unit))


def _whole(key: str, value: float) -> str:
    if not math.isfinite(value):
        return NONE
    if key == "polarity":
        return "+1" if value > 0 else "−1"
    return f"{value:.0f}"


def _coverage(numbers: Iterable[Number]) -> str:
    factors = {f"{one.k:g}" for one in numbers if one.uncertainty is not None}
    return next(iter(factors)) if len(factors) == 1 else "2"
