"""A calibration as one JSON document: what ``--json`` prints."""

import math
from dataclasses import dataclass

from app.records.calibration_record import CalibrationRecord
from app.report.take_document import finite
from dsp.calibration.calibration import Calibration
from dsp.calibration.in_unit import per_budget_unit

# Units that people say instead of the chain file's, and how many of them it takes; by unit, or
# by quantity where others have the same unit.
_SAID = {"V/Pa": ("mV/Pa", 1e3), "input.sense.late_s": ("µs", 1e6)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A result in the unit in which people say it.

    Attributes
    ----------
    value, uncertainty : float
        In ``unit``; the uncertainty expanded.
    unit : str
        ``mV/Pa`` for a sensitivity, ``µs`` for a delay between inputs, otherwise that of the
        chain file.
    per_unit : float
        ``unit`` for one unit of the budget, to first order.
    """

    value: float
    uncertainty: float
    unit: str
    per_unit: float


def told(result: Calibration) -> Told:
    """Say a result in the unit that people use, its budget's unit turned into it."""
    plain = _SAID.get(result.unit, (result.unit, 1.0))
    unit, times = _SAID.get(result.quantity, plain)
    value, per_unit = result.value * times, per_budget_unit(result) * times
    return Told(
        value=value, uncertainty=result.budget.expanded * per_unit, unit=unit, per_unit=per_unit
    )


def calibration_document(record: CalibrationRecord) -> dict[str, object]:
    """Return a calibration as JSON types.

    Returns
    -------
    dict
        ``result``, ``budget``, ``accepted``, ``reasons`` of the chief result; the others, each
        alike, in ``further``; ``checks``, ``numbers`` and the rest of the record. The budget
        stands in the unit of the result: ``uncertainty`` is ``k`` times the root of the sum of
        the squares of ``contribution``. Infinite degrees of freedom are None.
    """
    first, *further = record.results
    return {
        **_result(first),
        "accepted": record.accepted,
        "reasons": list(record.reasons),
        "further": [_result(one) | _said_of(one) for one in further],
        "id": record.id,
        "purpose": record.purpose.value,
        "chain": record.chain.chain.name,
        "link": record.link,
        "made_utc": record.made_utc.isoformat(),
        "operator": record.operator,
        "instrument": {
            "name": record.instrument.name,
            "serial": record.instrument.serial,
            "certificate": record.instrument.certificate,
            "due_on": record.instrument.due_on.isoformat() if record.instrument.due_on else None,
        },
        "conditions": {
            "temperature_c": record.conditions.temperature_c,
            "pressure_kpa": record.conditions.pressure_kpa,
            "humidity_percent": record.conditions.humidity_percent,
        },
        "method": record.method,
        "remarks": list(record.remarks),
        "given": dict(record.given),
        "numbers": {
            name: {
                "value": finite(number.value),
                "unit": number.unit,
                "uncertainty": finite(number.uncertainty),
                "how": number.how,
            }
            for name, number in record.numbers.items()
        },
        "written": {} if not record.accepted else dict(record.holds_while),
        "captures_sha256": list(record.captures),
        "card": record.card,
        "software_version": record.software_version,
        "note": record.note,
    }


def _result(result: Calibration) -> dict[str, object]:
    said, budget = told(result), result.budget
    document: dict[str, object] = {
        "quantity": result.quantity,
        "result": {
            "value": finite(said.value),
            "unit": said.unit,
            "uncertainty": finite(said.uncertainty),
            "k": finite(budget.k),
        },
        "budget": [
            {
                "source": line.source,
                "kind": line.kind.value,
                "standard_uncertainty": finite(line.standard_uncertainty),
                "unit": line.unit,
                "sensitivity": finite(line.sensitivity * said.per_unit),
                "contribution": finite(line.contribution * said.per_unit),
                "degrees": finite(line.degrees),
            }
            for line in budget.lines
        ],
        "checks": [
            {"name": check.name, "passed": check.passed, "sentence": check.sentence}
            for check in result.checks
        ],
    }
    if result.unit == "V/Pa":
        document["result_db"] = {
            "value": finite(20 * math.log10(result.value)),
            "unit": "dB re 1 V/Pa",
            "uncertainty": finite(budget.expanded),
            "k": finite(budget.k),
        }
    return document


def _said_of(result: Calibration) -> dict[str, object]:
    return {"accepted": result.accepted, "reasons": list(result.reasons)}
