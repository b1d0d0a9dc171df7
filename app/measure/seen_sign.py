"""How surely a sign is there in a take, and that in words."""

import math
from collections.abc import Mapping

import numpy as np

from app.measure.trait_values import sign_value
from app.measure.usuals import Usuals
from app.procedure.names import NUMBERS
from app.procedure.signature_schema import Sign as SignAsked
from dsp import Curve, Number
from dsp.findings.evidence import Sign
from dsp.findings.usual import Usual

_CLEAR_SPREADS = 4.0  # above the usual: a good unit comes there once in thirty thousand times
# A sign whose figure just stands clear of a noise that hides it elsewhere, as that of one good unit
# in a hundred may by chance; and one that noise hides.
_CLEAR, _UNLIKELY = 0.99, 0.1


def seen_sign(
    name: str,
    asked: SignAsked,
    *,
    numbers: Mapping[str, Number],
    curves: Mapping[str, Curve],
    usuals: Usuals,
) -> Sign | None:
    """Tell whether a sign is there.

    Parameters
    ----------
    name : str
        Of the sign.
    asked : Sign
        What is looked at, and from where on it is there.
    numbers, curves : mapping by name
        Of the take.
    usuals : Usuals
        What it is compared with.

    Returns
    -------
    Sign; None where the figure could not be read, may not be trusted, has nothing to be compared
    with, or noise leaves it open.
    """
    value, usual = sign_value(asked, numbers=numbers, curves=curves), usuals.signs.get(name)
    number = numbers.get(asked.number or "")
    if not math.isfinite(value) or (number is not None and not number.trusted):
        return None
    hidden = name in usuals.hidden and asked.over_usual is not None
    present: float | None
    if hidden and number is not None and usual is not None:
        present = _clear_of_noise(asked, number=number, usual=usual)
    elif asked.curve is not None and _is_hidden(asked, curve=curves[asked.curve]):
        present = _UNLIKELY
    else:
        present = _present(asked, value=value, usual=usual)
        if present is not None and number is not None and number.is_bound:
            # What noise hides is at most the value: absent where even that is too little.
            present = _UNLIKELY if present < 1 / 2 and asked.below is None else None
    if present is None:
        return None
    return Sign(
        name=name,
        present=present,
        said=_said(asked, value=value, usual=usual, hidden=hidden),
        said_absent=asked.says_not,
    )


def _is_hidden(asked: SignAsked, *, curve: Curve) -> bool:
    # Most of it is what noise hides at most; a curve that holds nowhere tells so by itself.
    if asked.nowhere or curve.is_bound is None:
        return False
    low, high = asked.band_hz or (0.0, math.inf)
    inside = (curve.frequency_hz >= low) & (curve.frequency_hz <= high)
    known = inside & np.isfinite(curve.value)
    return 2 * int(np.count_nonzero(curve.is_bound[known])) > int(np.count_nonzero(known))


def _clear_of_noise(asked: SignAsked, *, number: Number, usual: Usual) -> float:
    # Noise hides it in good units, whose figures are what theirs are at most: the further above
    # those, the less likely it is chance that this one stands clear of the noise.
    if number.is_bound:
        return _UNLIKELY
    return _CLEAR + (1 - _CLEAR) * _rise(number.value - usual.middle, asked.spread)


def _present(asked: SignAsked, *, value: float, usual: Usual | None) -> float | None:
    """Return how surely a sign is there, 0 to 1; None where there is nothing to compare with."""
    if asked.nowhere:
        return value
    if asked.above is not None:
        return _rise(value - asked.above, asked.spread)
    if asked.below is not None:
        return _rise(asked.below - value, asked.spread)
    if usual is None:
        return None
    if asked.over_usual is not None:
        clear = max(asked.over_usual, _CLEAR_SPREADS * usual.spread)
        return _rise(value - usual.middle - clear, max(asked.spread, usual.spread))
    times = asked.times_usual or 1.0
    ratio = value / (usual.middle * times)
    return float(ratio > 1 if times > 1 else ratio < 1)


def _rise(over: float, width: float) -> float:
    return 1 / (1 + math.exp(-min(max(4 * over / width, -30.0), 30.0)))


def _said(asked: SignAsked, *, value: float, usual: Usual | None, hidden: bool) -> str:
    if asked.over_usual is None or usual is None or asked.number is None:
        return asked.says
    unit = NUMBERS[asked.number].split(" ")[0]
    tail = "" if unit == "1" else f" {unit}"
    largest = max(abs(value), abs(usual.middle))
    digits = 0 if largest >= 9.95 else 1 if largest >= 0.995 else 2
    first, second = (f"{one:.{digits}f}".replace("-", "−") for one in (value, usual.middle))
    of_others = "hidden by noise in good units" if hidden else f"usually {second}{tail}"
    return f"{asked.says}: {first}{tail}, {of_others}"
