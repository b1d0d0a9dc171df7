"""A calibration as text and back, to the last bit; the chain is kept beside it."""

import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date, datetime
from typing import Any

from app.errors import BadInputError
from app.records.calibration_record import CalibrationRecord, Purpose, UsedInstrument
from dsp import DspError, Number
from dsp.calibration.budget import BudgetLine, Kind, WrittenBudget
from dsp.calibration.calibration import Calibration, Check
from dsp.calibration.conditions import Conditions
from hardware.chain.snapshot import ChainSnapshot


def calibration_text(record: CalibrationRecord) -> str:
    """Write a record down, all but its chain."""
    document = {
        "id": record.id,
        "purpose": record.purpose.value,
        "link": record.link,
        "made_utc": record.made_utc.isoformat(),
        "operator": record.operator,
        "instrument": asdict(record.instrument) | {"due_on": _day(record.instrument.due_on)},
        "conditions": asdict(record.conditions),
        "method": record.method,
        "given": dict(record.given),
        "results": [_result(result) for result in record.results],
        "numbers": {name: asdict(number) for name, number in record.numbers.items()},
        "holds_while": dict(record.holds_while),
        "captures": list(record.captures),
        "card": record.card,
        "software_version": record.software_version,
        "remarks": list(record.remarks),
        "note": record.note,
    }
    # Infinite degrees of freedom are written as ``Infinity``, which Python reads back.
    return json.dumps(document, ensure_ascii=False, separators=(",", ":"))


def read_calibration_text(text: str, *, chain: ChainSnapshot, where: str) -> CalibrationRecord:
    """Read what ``calibration_text`` wrote.

    Raises
    ------
    BadInputError
        This version no longer understands it.
    """
    try:
        return _record(json.loads(text), chain=chain)
    except (KeyError, TypeError, ValueError, DspError) as error:
        raise BadInputError(where, "this version cannot read the calibration") from error


def _record(found: Mapping[str, Any], *, chain: ChainSnapshot) -> CalibrationRecord:
    used = found["instrument"]
    due = used["due_on"]
    return CalibrationRecord(
        id=found["id"],
        purpose=Purpose(found["purpose"]),
        link=found["link"],
        chain=chain,
        made_utc=datetime.fromisoformat(found["made_utc"]),
        operator=found["operator"],
        instrument=UsedInstrument(
            **{**used, "due_on": None if due is None else date.fromisoformat(due)}
        ),
        conditions=Conditions(**found["conditions"]),
        method=found["method"],
        given=found["given"],
        results=tuple(_read_result(result) for result in found["results"]),
        numbers={name: Number(**number) for name, number in found["numbers"].items()},
        holds_while=found["holds_while"],
        captures=tuple(found["captures"]),
        card=found["card"],
        software_version=found["software_version"],
        remarks=tuple(found.get("remarks", ())),  # records of before there were any
        note=found.get("note", ""),  # those of before notes could be written have none
    )


def _result(result: Calibration) -> dict[str, object]:
    return {
        "quantity": result.quantity,
        "value": result.value,
        "unit": result.unit,
        "budget": {
            "unit": result.budget.unit,
            "lines": [asdict(line) | {"kind": line.kind.value} for line in result.budget.lines],
        },
        "checks": [asdict(check) for check in result.checks],
    }


def _read_result(found: Mapping[str, Any]) -> Calibration:
    lines = found["budget"]["lines"]
    return Calibration(
        quantity=found["quantity"],
        value=found["value"],
        unit=found["unit"],
        budget=WrittenBudget(
            unit=found["budget"]["unit"],
            lines=tuple(BudgetLine(**{**line, "kind": Kind(line["kind"])}) for line in lines),
        ),
        checks=tuple(Check(**check) for check in found["checks"]),
    )


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
