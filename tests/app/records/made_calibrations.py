"""Calibrations made up for tests."""

import dataclasses
import uuid
from datetime import UTC, date, datetime
from typing import Any

import numpy as np

from app.records.calibration_record import CalibrationRecord, Purpose, UsedInstrument
from app.records.captures import capture_hash
from dsp import Number
from dsp.calibration.budget import BudgetLine, Kind, WrittenBudget
from dsp.calibration.calibration import Calibration, Check
from dsp.calibration.conditions import Conditions
from hardware.card import Capture
from tests.app.records.made_takes import CHAIN

QUANTITY = "input.pressure.sensitivity_v_per_pa"
MADE = datetime(2026, 7, 26, 6, 0, 0, 250, tzinfo=UTC)  # the day before the takes of made_takes
PASSED = Check(name="level", passed=True, sentence="94.01 dB found, 94 dB stated")
LEAK = Check(name="settled", passed=False, sentence="the level sinks by 0.3 dB/s: a leak")


def make_result(
    *, value: float = 0.0123, checks: tuple[Check, ...] = (PASSED,), quantity: str = QUANTITY
) -> Calibration:
    lines = (
        BudgetLine(
            source="instrument",
            kind=Kind.OTHER,
            standard_uncertainty=0.075,
            unit="dB",
            sensitivity=-1.0,
        ),
        BudgetLine(
            source="repeatability",
            kind=Kind.REPEATED,
            standard_uncertainty=0.02,
            unit="dB",
            sensitivity=1.0,
            degrees=2.0,
        ),
    )
    return Calibration(
        quantity=quantity,
        value=value,
        unit="V/Pa",
        budget=WrittenBudget(unit="dB", lines=lines),
        checks=checks,
    )


def make_calibration(*captures: Capture, seed: int = 1, **changes: Any) -> CalibrationRecord:
    rng = np.random.default_rng(seed)
    record = CalibrationRecord(
        id=uuid.UUID(bytes=rng.bytes(16)).hex,
        purpose=Purpose.CALIBRATION,
        link="input.pressure",
        chain=CHAIN,
        made_utc=MADE,
        operator="N. N.",
        instrument=UsedInstrument(
            name="pistonphone, class 1",
            serial="P-19",
            certificate="K-2026-114",
            due_on=date(2027, 5, 1),
        ),
        conditions=Conditions(temperature_c=22.5, pressure_kpa=100.8, humidity_percent=41.0),
        method="level of a sine in a coupler",
        given={"level_db": 124.0, "frequency_hz": 250.0, "certificate": "K-2026-114"},
        results=(make_result(),),
        captures=tuple(capture_hash(capture) for capture in captures),
        card="virtual rig",
        software_version="0.1.0",
        note="Ø 13 mm adaptor; the room hummed until the fan was off",
        numbers={"frequency_hz": Number(value=250.02, unit="Hz", uncertainty=0.01)},
        holds_while={
            QUANTITY: 0.0123,
            "input.pressure.full_scale_v": 0.1 + 0.2,
        },
    )
    return dataclasses.replace(record, **changes)
