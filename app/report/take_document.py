"""A take as one JSON document: what ``--json`` prints and ``export`` writes."""

import math
from collections.abc import Iterable

import numpy as np

from app.records.take import Take
from dsp import Curve, Floats, Number
from dsp.conformity.verdict import MaskResult, Verdict

# Whoever reads a take by machine knows three words; ``masks`` is empty where nothing was judged.
_VERDICTS = {Verdict.NOT_JUDGED: Verdict.NOT_DECIDED}


def take_document(take: Take) -> dict[str, object]:
    """Return a take as JSON types.

    Returns
    -------
    dict
        ``unit``, ``verdict``, ``warnings``, ``numbers``, ``curves``, ``masks``, ``findings``, and
        where and when it was taken. A take without masks is "not decided" like one whose masks
        could not be; an empty ``masks`` tells them apart. What is not a finite number is None. A
        point that is only an upper bound has the value None, and stands in the curve's ``bound``, a
        list of the same length that only curves with such points have.
    """
    return {
        "unit": take.unit,
        "lot": take.lot,
        "verdict": _VERDICTS.get(take.verdict, take.verdict).value,
        "warnings": list(take.warnings),
        "numbers": {name: number_document(number) for name, number in take.numbers.items()},
        "curves": {name: curve_document(curve) for name, curve in take.curves.items()},
        "masks": {name: _mask(result) for name, result in take.masks.items()},
        "findings": [
            {
                "cause": finding.cause,
                "confidence": finite(finding.confidence),
                "because": list(finding.because),
            }
            for finding in take.findings
        ],
        "id": take.id,
        "procedure": take.procedure.name,
        "chain": take.chain.chain.name,
        "started_utc": take.started_utc.isoformat(),
        "card": take.card,
        "audio": dict(take.audio),
        "capture_sha256": take.capture_sha256,
        "capture_offset": int(take.capture_offset),
        "reference_take": take.reference_take,
        "derived_from": take.derived_from,
        "rests_on": dict(take.rests_on),
        "calibrations": list(take.calibrations),
        "software_version": take.software_version,
    }


def finite(value: float | None) -> float | None:
    """Return ``value``, or None where JSON has no word for it."""
    return float(value) if value is not None and math.isfinite(value) else None


def told_and_bound(curve: Curve) -> tuple[Floats, Floats | None]:
    """Part the points that a curve tells from those that only bound it; NaN fills the gaps.

    Returns
    -------
    (n,) array, and (n,) array or None where no point is a bound; in the curve's unit.
    """
    if curve.is_bound is None:
        return curve.value, None
    return (
        np.where(curve.is_bound, np.nan, curve.value),
        np.where(curve.is_bound, curve.value, np.nan),
    )


def _finite_list(values: Iterable[float]) -> list[float | None]:
    return [value if math.isfinite(value) else None for value in values]


def number_document(number: Number) -> dict[str, object]:
    """Return a number as JSON types; what is not finite is None."""
    return {
        "value": finite(number.value),
        "unit": number.unit,
        "uncertainty": finite(number.uncertainty),
        "k": finite(number.k),
        "how": number.how,
        "reason": number.reason,
        "is_bound": number.is_bound,
    }


def curve_document(curve: Curve) -> dict[str, object]:
    """Return a curve as JSON types; what is not finite is None."""
    told, bound = told_and_bound(curve)
    uncertainty = curve.uncertainty
    document: dict[str, object] = {
        "frequency_hz": curve.frequency_hz.tolist(),
        "value": _finite_list(told.tolist()),
        "unit": curve.unit,
        "uncertainty": None if uncertainty is None else _finite_list(uncertainty.tolist()),
        "valid_hz": [finite(curve.valid.low_hz), finite(curve.valid.high_hz)],
        "valid_reason": [curve.valid.low_reason, curve.valid.high_reason],
        "how": curve.how,
    }
    if bound is not None:
        document["bound"] = _finite_list(bound.tolist())
    return document


def _mask(result: MaskResult) -> dict[str, object]:
    return {
        "verdict": result.verdict.value,
        "margin": finite(result.margin),
        "nearest_hz": finite(result.nearest_hz),
        "reason": result.reason,
    }
