"""The certificate has what ISO/IEC 17025:2017, 7.8.2.1 and 7.8.4.1, ask of a report."""

import re
from pathlib import Path
from typing import Any

import pytest

from app.records.calibration_record import CalibrationRecord, Purpose
from app.report.calibration_plots import Evidence
from app.report.calibration_text import budget_rows, result_text
from app.report.certificate import leave_certificate
from app.report.certificate_facts import Party, facts, statements
from tests.app.records.made_calibrations import LEAK, QUANTITY, make_calibration, make_result
from tests.app.records.made_takes import make_capture

PARTY = Party(
    laboratory="a laboratory",
    address="its address",
    customer="tram line 4",
    item="microphone 0117",
    authorised_by="N. N.",
    issued_on="2026-07-30",
)


def calibration(**changes: Any) -> CalibrationRecord:
    return make_calibration(make_capture(), **changes)


def said(record: CalibrationRecord, *, party: Party = PARTY) -> dict[str, str]:
    return {name: text for _, pairs in facts(record, party=party) for name, text in pairs}


def test_what_the_standard_lists_is_there() -> None:
    record = calibration()
    lines = said(record)
    # 7.8.2.1 b, c, e: laboratory, place, customer; g, h: item, date; f: method.
    assert lines["laboratory"] == "a laboratory"
    assert lines["place of calibration"] == "its address"
    assert lines["customer"] == "tram line 4"
    assert lines["item"] == "microphone 0117"
    assert lines["performed"] == "2026-07-26 06:00 UTC by N. N."
    assert lines["how"] == record.method
    # 7.8.4.1 b: conditions; c: traceability; d: before and after an adjustment.
    assert lines["air"] == "22.5 °C ± 1 °C, 100.80 kPa ± 0.2 kPa, 41 % ± 10 % (k = 2)"
    assert lines["traceability"].startswith("to the SI through certificate K-2026-114")
    assert lines["before"] == f"{QUANTITY} = 0.0123 V/Pa"
    assert lines["after"] == f"{QUANTITY} = 0.0123 V/Pa"
    # 7.8.4.1 a: uncertainty with its unit; e, with 7.8.6: decision rule.
    assert re.fullmatch(
        r"12\.30 mV/Pa ± 0\.22 mV/Pa \(k = 2\.0\d\); −38\.20 dB re 1 V/Pa ± 0\.16 dB",
        result_text(record.results[0]),
    )
    assert "JCGM 100:2008" in statements(record)[0]
    assert "JCGM 106:2012" in statements(record)[1]


def test_no_page_recommends_when_to_calibrate_next() -> None:
    # 7.8.4.3.
    everything = " ".join([*said(calibration()).values(), *statements(calibration())])
    assert "recalibrate" not in everything
    assert "next" not in everything


def test_what_nobody_said_is_left_to_be_filled_in_and_traceability_is_not_claimed() -> None:
    record = calibration()
    used = type(record.instrument)(name="voltmeter")
    lines = said(calibration(instrument=used), party=Party())
    assert set(lines["laboratory"]) == {"_"}
    assert lines["traceability"].endswith("traceability is not stated")


@pytest.mark.parametrize("purpose", list(Purpose))
def test_a_refused_one_has_a_page_but_no_value_after(purpose: Purpose) -> None:
    record = calibration(purpose=purpose, results=(make_result(checks=(LEAK,)),), holds_while={})
    assert "after" not in said(record)


def test_the_budget_ends_with_the_combined_uncertainty() -> None:
    rows = budget_rows(make_result())
    # 0.075 and 0.02 dB: root of the sum of squares 0.0776 dB.
    assert [row[0] for row in rows] == ["instrument", "repeatability", "combined"]
    assert rows[-1][-1] == "0.078"


def test_pages_are_written_once_and_the_same_every_time(tmp_path: Path) -> None:
    record = calibration()
    pages = [
        leave_certificate(record, folder=tmp_path / name, shown=Evidence(), party=PARTY)
        for name in ("first", "second")
    ]
    names = [[page.name for page in of_one] for of_one in pages]
    assert names[0] == names[1]
    assert names[0][0] == f"calibration-{record.id[:8]}.pdf"
    for first, second in zip(*pages, strict=True):
        assert first.read_bytes() == second.read_bytes()
