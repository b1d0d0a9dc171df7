"""A predicted box as one JSON document, as files in a folder, and in one line."""

import json
from collections.abc import Sequence
from pathlib import Path

from app.report.atomic import write_whole
from app.report.box_picture import draw_box
from app.report.export_csv import export_curves, export_numbers
from app.report.take_document import curve_document, finite, number_document
from dsp.box.enclosure import Box, ClosedBox
from dsp.box.loudest import Loudest
from dsp.box.predict import Prediction


def box_document(
    prediction: Prediction, *, loudest: Loudest | None, warnings: Sequence[str]
) -> dict[str, object]:
    """Return a prediction as JSON types.

    Returns
    -------
    dict
        ``parameters`` of the unit, ``box``, ``warnings``, ``numbers`` and ``curves`` as of a take,
        ``limits`` of the model; ``loudest``, a curve with ``watts`` and ``limited_by`` at each
        point, or None.
    """
    unit = prediction.unit
    most = None
    if loudest is not None:
        most = curve_document(loudest.level) | {
            "watts": loudest.watts.tolist(),
            "limited_by": list(loudest.limited_by),
        }
    return {
        "parameters": {
            "fs_hz": unit.fs_hz,
            "qms": unit.qms,
            "qes": unit.qes,
            "qts": unit.qts,
            "vas_l": 1e3 * unit.vas_m3,
            "sd_cm2": 1e4 * unit.sd_m2,
            "re_ohm": unit.re_ohm,
            "le_mh": 1e3 * unit.le_h,
            "xmax_mm": None if unit.xmax_m is None else 1e3 * unit.xmax_m,
            "rated_power_w": unit.rated_power_w,
        },
        "box": _box(prediction.box),
        "warnings": list(warnings),
        "numbers": {name: number_document(one) for name, one in prediction.numbers.items()},
        "curves": {name: curve_document(one) for name, one in prediction.curves.items()},
        "loudest": most,
        "limits": [
            {"name": limit.name, "words": limit.words, "high_hz": limit.high_hz}
            for limit in prediction.limits
        ],
    }


def leave_box(
    prediction: Prediction, *, loudest: Loudest | None, warnings: Sequence[str], folder: Path
) -> tuple[Path, ...]:
    """Write the picture, the tables and ``box.json`` of a prediction; return what lies where."""
    document = box_document(prediction, loudest=loudest, warnings=warnings)
    text = json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1)
    curves = dict(prediction.curves)
    if loudest is not None:
        curves["loudest"] = loudest.level
    return (
        *draw_box(prediction, loudest=loudest, path=folder / "box"),
        *export_curves(curves, folder=folder),
        *export_numbers(prediction.numbers, folder=folder),
        write_whole(folder / "box.json", f"{text}\n".encode()),
    )


def box_words(box: Box) -> str:
    """Say in one line what box it is."""
    litre = f"{1e3 * box.volume_m3:.3g} l"
    if isinstance(box, ClosedBox):
        return f"closed box of {litre}"
    by_qts = f" ({box.alignment} for its Qts)" if box.alignment else ""
    words = f"vented box of {litre}, tuned to {box.tuning_hz:.3g} Hz{by_qts}"
    vent = box.vent
    if vent is None or vent.length_m is None:
        return words
    vents = f"{vent.count} vent{'s' * (vent.count > 1)} of {1e4 * vent.area_m2:.3g} cm²"
    return f"{words} by {vents}, {1e3 * vent.length_m:.3g} mm long"


def _box(box: Box) -> dict[str, object]:
    told: dict[str, object] = {
        "kind": "closed" if isinstance(box, ClosedBox) else "vented",
        "volume_l": 1e3 * box.volume_m3,
        "q_leakage": finite(box.q_leakage),
        "q_absorption": finite(box.q_absorption),
    }
    if isinstance(box, ClosedBox):
        return told
    told |= {
        "tuning_hz": box.tuning_hz,
        "alignment": box.alignment or None,
        "q_vent": finite(box.q_vent),
        "vent": None,
    }
    if box.vent is not None:
        length_m = box.vent.length_m
        told["vent"] = {
            "count": box.vent.count,
            "area_cm2": 1e4 * box.vent.area_m2,
            "length_mm": None if length_m is None else 1e3 * length_m,
            "outside": box.vent.outside,
            "inside": box.vent.inside,
        }
    return told
