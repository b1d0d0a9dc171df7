"""A take as one HDF5 file: quantities in groups, units and conditions as attributes."""

import io
import json
from pathlib import Path
from typing import Any

import h5py

from app.records.take import Take
from app.report.atomic import write_whole
from app.report.take_document import take_document
from dsp import Curve, Number
from dsp.conformity.verdict import MaskResult
from dsp.response.impulse import ImpulseResponse
from hardware.card import Capture


def export_hdf5(
    take: Take, *, capture: Capture | None, impulse: ImpulseResponse | None, folder: Path
) -> tuple[Path, ...]:
    """Write ``take.h5``.

    ``numbers/NAME`` is a scalar; ``curves/NAME`` a group of ``frequency_hz``, ``value`` and, where
    there are any, ``uncertainty`` and ``is_bound``; ``masks/NAME`` a group of attributes only;
    ``capture`` (n, channels) and ``impulse`` (n,) are there where they were given. What is None in
    the take has no attribute. A slash in a name is written ``%2F``, a percent sign ``%25``.
    """
    # In memory first: nothing is left half-written, and a full disk is told in plain words.
    content = io.BytesIO()
    with h5py.File(content, "w") as file:
        _note(file, **_conditions(take))
        for group in ("numbers", "curves", "masks"):
            file.create_group(group)
        for name, number in take.numbers.items():
            _add_number(file["numbers"], _safe(name), number)
        for name, curve in take.curves.items():
            _add_curve(file["curves"], _safe(name), curve)
        for name, result in take.masks.items():
            _add_mask(file["masks"], _safe(name), result)
        if capture is not None:
            _add_capture(file, capture)
        if impulse is not None:
            _add_impulse(file, impulse)
    return (write_whole(folder / "take.h5", content.getbuffer()),)


def _conditions(take: Take) -> dict[str, Any]:
    return {
        "id": take.id,
        "unit": take.unit,
        "lot": take.lot,
        "verdict": take.verdict.value,
        "warnings_json": _json(take.warnings),
        "findings_json": _json(take_document(take)["findings"]),
        "procedure": take.procedure.name,
        "procedure_json": take.procedure.model_dump_json(),
        "chain": take.chain.chain.name,
        "chain_json": take.chain.model_dump_json(),
        "started_utc": take.started_utc.isoformat(),
        "card": take.card,
        "audio_json": _json(dict(take.audio)),
        "capture_sha256": take.capture_sha256,
        "capture_offset": take.capture_offset,
        "reference_take": take.reference_take,
        "derived_from": take.derived_from,
        "rests_on_json": _json(dict(take.rests_on)),
        "software_version": take.software_version,
    }


def _add_number(numbers: Any, name: str, number: Number) -> None:
    scalar = numbers.create_dataset(name, data=float(number.value))
    _note(
        scalar,
        unit=number.unit,
        uncertainty=number.uncertainty,
        k=number.k,
        how=number.how,
        reason=number.reason,
        is_bound=number.is_bound,
    )


def _add_curve(curves: Any, name: str, curve: Curve) -> None:
    group = curves.create_group(name)
    group["frequency_hz"] = curve.frequency_hz
    group["value"] = curve.value
    _note(group["frequency_hz"], unit="Hz")
    _note(group["value"], unit=curve.unit)
    if curve.uncertainty is not None:
        group["uncertainty"] = curve.uncertainty
        _note(group["uncertainty"], unit=curve.unit, k=2.0)
    if curve.is_bound is not None:
        group["is_bound"] = curve.is_bound
    _note(
        group,
        valid_hz=(curve.valid.low_hz, curve.valid.high_hz),
        low_reason=curve.valid.low_reason,
        high_reason=curve.valid.high_reason,
        how=curve.how,
    )


def _add_mask(masks: Any, name: str, result: MaskResult) -> None:
    _note(
        masks.create_group(name),
        verdict=result.verdict.value,
        margin=result.margin,
        nearest_hz=result.nearest_hz,
        reason=result.reason,
    )


def _add_capture(file: Any, capture: Capture) -> None:
    file["capture"] = capture.samples
    _note(
        file["capture"],
        unit="full scale",
        sample_rate_hz=capture.sample_rate_hz,
        started_utc=capture.started_utc.isoformat(),
        card=capture.card,
        dropouts=capture.dropouts,
        lost_channels_json=_json(capture.lost_channels),
    )


def _add_impulse(file: Any, impulse: ImpulseResponse) -> None:
    file["impulse"] = impulse.samples
    _note(
        file["impulse"],
        unit="Pa/V",
        sample_rate_hz=impulse.sample_rate_hz,
        zero_index=impulse.zero_index,
        arrival_index=impulse.arrival_index,
    )


def _note(target: Any, **attributes: object) -> None:
    for name, value in attributes.items():
        if value is not None:
            target.attrs[name] = value


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False)


def _safe(name: str) -> str:
    return name.replace("%", "%25").replace("/", "%2F")
