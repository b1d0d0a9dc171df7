"""What changed between two sets of limits, mask by mask, in words that an approver can read."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from app.procedure.edit_masks import SIDES, Side, points_of, value_of
from app.procedure.limit_words import amount, counted, frequency, signed
from app.procedure.mask_schema import Mask
from dsp import Floats
from dsp.conformity.mask import MaskLines

Kind = Literal["added", "removed", "renamed", "changed"]
Effect = Literal["tighter", "looser", "tighter and looser", "other"]


@dataclass(frozen=True, slots=True, kw_only=True)
class MaskChange:
    """What became of one mask.

    Attributes
    ----------
    mask : str
        Its name; the new one where it was renamed.
    kind : "added", "removed", "renamed" or "changed"
        What happened to it as a whole.
    effect : "tighter", "looser", "tighter and looser" or "other"
        Whether units pass less easily, more easily, or both, each somewhere; "other" where the
        limits are held against something else, or nothing moved.
    words : str
        The whole of it: ``Level, shape: upper at 700 Hz from +4.6 to +3.4 dB, 2 points moved``.
    """

    mask: str
    kind: Kind
    effect: Effect
    words: str


def difference(old: Mapping[str, Mask], new: Mapping[str, Mask]) -> tuple[MaskChange, ...]:
    """Compare limits; masks that did not change are left out.

    Parameters
    ----------
    old, new : mapping of str to Mask
        By name.

    Returns
    -------
    tuple of MaskChange, in the old order, then what is new.
    """
    renamed = _renamed(old, new)
    changes = []
    for name, mask in old.items():
        now = new.get(name)
        if now is not None:
            if now != mask:
                changes.append(_changed(name, mask, now))
        elif name in renamed:
            words = f"{_title(renamed[name])}: renamed, was {_title(name)}"
            changes.append(
                MaskChange(mask=renamed[name], kind="renamed", effect="other", words=words)
            )
        else:
            changes.append(
                MaskChange(
                    mask=name, kind="removed", effect="looser", words=f"{_title(name)}: removed"
                )
            )
    for name, mask in new.items():
        if name not in old and name not in renamed.values():
            limits = " and ".join(side for side in SIDES if getattr(mask, side) is not None)
            words = f"{_title(name)}: added, {limits} limit of {_title(mask.quantity, low=True)}"
            changes.append(MaskChange(mask=name, kind="added", effect="tighter", words=words))
    return tuple(changes)


def _renamed(old: Mapping[str, Mask], new: Mapping[str, Mask]) -> dict[str, str]:
    """Return the new name of each mask that only its name was taken from."""
    fresh = {name: mask for name, mask in new.items() if name not in old}
    found: dict[str, str] = {}
    for name, mask in old.items():
        same = [one for one, now in fresh.items() if now == mask and one not in found.values()]
        if name not in new and same:
            found[name] = same[0]
    return found


def _changed(name: str, old: Mask, new: Mask) -> MaskChange:
    parts = [*_ways(old, new), *(part for side in SIDES for part in _limit(old, new, side=side))]
    return MaskChange(
        mask=name,
        kind="changed",
        effect=_effect(old, new),
        words=f"{_title(name)}: {', '.join(parts)}",
    )


def _ways(old: Mask, new: Mask) -> Iterator[str]:
    """Say what else than the limits is otherwise: what they are for, and how they are held."""
    if new.quantity != old.quantity:
        yield f"of {_title(new.quantity, low=True)} instead of {_title(old.quantity, low=True)}"
    if new.relative_to != old.relative_to:
        yield (
            "counts from the reference unit"
            if new.relative_to
            else "no longer counts from the reference unit"
        )
    if new.align != old.align:
        yield "level-aligned" if new.align else "no longer level-aligned"
    if new.align and new.align_band_hz != old.align_band_hz:
        band = new.align_band_hz
        over = f"{frequency(band[0])} to {frequency(band[1])}" if band else "its own span"
        yield f"aligned over {over}"
    if new.guard != old.guard:
        yield f"guard from {old.guard:g} to {new.guard:g} times the uncertainty"


def _limit(old: Mask, new: Mask, *, side: Side) -> Iterator[str]:
    before, now = getattr(old, side), getattr(new, side)
    if before == now:
        return
    if now is None:
        yield f"{side} limit removed"
    elif before is None:
        yield f"{side} limit added, {_limit_said(new, side=side)}"
    elif isinstance(before, tuple) and isinstance(now, tuple):
        yield from _points_moved(old, new, side=side)
    elif isinstance(before, tuple) or isinstance(now, tuple):
        yield f"{side} {_limit_said(new, side=side)} instead of {_limit_said(old, side=side)}"
    else:
        yield f"{side} {_from_to(before, now, mask=new)}"


def _limit_said(mask: Mask, *, side: Side) -> str:
    value, points = value_of(mask, side=side), points_of(mask, side=side)
    if value is not None:
        return amount(value, mask=mask)
    span = f" from {frequency(points[0][0])} to {frequency(points[-1][0])}"
    return counted(len(points), "point") + (span if len(points) > 1 else "")


def _points_moved(old: Mask, new: Mask, *, side: Side) -> Iterator[str]:
    before, now = dict(points_of(old, side=side)), dict(points_of(new, side=side))
    moved = [hz for hz in now if hz in before and now[hz] != before[hz]]
    steps = {round(now[hz] - before[hz], 9) for hz in moved}
    if before.keys() == now.keys() and len(steps) == 1 and len(moved) == len(now) > 1:
        yield f"{side} as a whole by {signed(steps.pop(), mask=new)}"
        return
    places = _places(old, new, side=side)
    gaps = np.abs(_moved(old, new, places, side=side))
    inside = np.isfinite(gaps)
    if np.any(gaps[inside] > 0):
        widest = places[inside][np.argmax(gaps[inside])]
        values = (_read(mask, side=side, hz=float(widest)) for mask in (old, new))
        yield f"{side} at {frequency(float(widest))} {_from_to(*values, mask=new)}"
    told = [
        f"{counted(number, 'point')} {what}"
        for number, what in (
            (len(moved), "moved"),
            (len(now.keys() - before.keys()), "added"),
            (len(before.keys() - now.keys()), "removed"),
        )
        if number
    ]
    ends = (min(now), max(now))
    if ends != (min(before), max(before)):
        told.append(f"{side} now from {frequency(ends[0])} to {frequency(ends[1])}")
    yield from told


def _from_to(before: float, now: float, *, mask: Mask) -> str:
    return f"from {amount(before, mask=mask, unit=False)} to {amount(now, mask=mask)}"


def _effect(old: Mask, new: Mask) -> Effect:
    held = ("quantity", "relative_to", "align", "align_band_hz")
    if any(getattr(old, key) != getattr(new, key) for key in held):
        return "other"
    up, down = (_moved(old, new, _places(old, new, side=side), side=side) for side in SIDES)
    inward = bool(np.any(up < 0) or np.any(down > 0) or new.guard > old.guard)
    outward = bool(np.any(up > 0) or np.any(down < 0) or new.guard < old.guard)
    if inward and outward:
        return "tighter and looser"
    return "tighter" if inward else "looser" if outward else "other"


def _places(old: Mask, new: Mask, *, side: Side) -> Floats:
    """Return where one limit can differ most: at points of either; anywhere for single values."""
    hz = {point[0] for mask in (old, new) for point in points_of(mask, side=side)}
    return np.array(sorted(hz) or [1.0], dtype=np.float64)


def _moved(old: Mask, new: Mask, hz: Floats, *, side: Side) -> Floats:
    """Return by how much a limit moved up, (n,); infinite where it came or went, NaN for none."""
    with np.errstate(invalid="ignore"):  # infinity less infinity
        return _at(new, hz, side=side) - _at(old, hz, side=side)


def _at(mask: Mask, hz: Floats, *, side: Side) -> Floats:
    lines = MaskLines(upper=mask.upper, lower=mask.lower)
    return lines.upper_at(hz) if side == "upper" else lines.lower_at(hz)


def _read(mask: Mask, *, side: Side, hz: float) -> float:
    """Return a limit as it was typed, or in four digits where it runs between two points."""
    typed = dict(points_of(mask, side=side)).get(hz)
    return float(f"{_at(mask, np.array([hz]), side=side)[0]:.4g}") if typed is None else typed


def _title(name: str, *, low: bool = False) -> str:
    words = name.replace("_", " ")
    return words if low else words[:1].upper() + words[1:]
