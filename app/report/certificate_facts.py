"""What a certificate says about where, by whom, on what and how, item by item."""

from dataclasses import dataclass

from app.records.calibration_record import CalibrationRecord, Purpose
from app.report.calibration_text import amount
from hardware.toml_edit import value_at

Section = tuple[str, list[tuple[str, str]]]
_BLANK = "_" * 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Party:
    """Who is responsible to whom; empty texts become lines to be filled in.

    Attributes
    ----------
    laboratory, address, customer : str
        Names and addresses.
    item : str
        Make, type and serial of what was calibrated.
    authorised_by, issued_on : str
        Who signs, and the day.
    """

    laboratory: str = ""
    address: str = ""
    customer: str = ""
    item: str = ""
    authorised_by: str = ""
    issued_on: str = ""


def facts(record: CalibrationRecord, *, party: Party) -> list[Section]:
    """Return headings with their lines (ISO/IEC 17025:2017, 7.8.2.1 and 7.8.4.1)."""
    return [
        (
            "Laboratory and customer",
            [
                ("laboratory", party.laboratory or _BLANK),
                ("place of calibration", party.address or _BLANK),
                ("customer", party.customer or _BLANK),
            ],
        ),
        ("Item", _item(record, party=party)),
        (
            "Method",
            [
                ("how", record.method),
                ("performed", f"{record.made_utc:%Y-%m-%d %H:%M} UTC by {record.operator}"),
                ("reference", _instrument(record)),
                ("traceability", _traceability(record)),
                ("air", _air(record)),
                ("recorded with", f"{record.card}; Dustcap {record.software_version}"),
                ("recordings (SHA-256)", ", ".join(record.captures)),
                *([("note", record.note)] if record.note else []),
            ],
        ),
    ]


def statements(record: CalibrationRecord) -> tuple[str, ...]:
    """Return what has to be said about the interval and the decision."""
    result = record.results[0]
    return (
        f"The stated uncertainty is the expanded one: the combined standard uncertainty times "
        f"k = {result.budget.k:.2f}, for a coverage probability of about 95 % (JCGM 100:2008).",
        "The decision rests on the checks above, each against the limit that it names; the "
        "uncertainty was not added to those limits (simple acceptance, JCGM 106:2012, 8.2).",
    )


def _item(record: CalibrationRecord, *, party: Party) -> list[tuple[str, str]]:
    lines = [
        ("item", party.item or _BLANK),
        ("link", f"{record.link} of the chain “{record.chain.chain.name}”"),
        ("before", _before(record)),
    ]
    if record.purpose is Purpose.CALIBRATION and record.accepted:
        after = [
            f"{one.quantity} = {record.holds_while[one.quantity]} {one.unit}"
            for one in record.results
            if one.quantity in record.holds_while
        ]
        lines.append(("after", "; ".join(after)))
    own = {one.quantity for one in record.results}
    rests = [
        f"{key.partition('.')[2]} = {value}"
        for key, value in record.holds_while.items()
        if value == _value(record, key) and key not in own
    ]
    if rests:
        lines.append(("holds with", ", ".join(rests)))
    return lines


def _before(record: CalibrationRecord) -> str:
    result = record.results[0]
    value = _value(record, result.quantity)
    return "—" if value is None else f"{result.quantity} = {value} {result.unit}"


def _value(record: CalibrationRecord, key: str) -> object:
    try:
        return value_at(record.chain.chain, tuple(key.split(".")))
    except AttributeError:  # a figure that the chain file has no key for
        return None


def _instrument(record: CalibrationRecord) -> str:
    used = record.instrument
    return f"{used.name}, No. {used.serial}" if used.serial else used.name


def _traceability(record: CalibrationRecord) -> str:
    used = record.instrument
    if not used.certificate:
        return "no certificate of the reference was named: traceability is not stated"
    due = f", holds until {used.due_on}" if used.due_on else ""
    return f"to the SI through certificate {used.certificate} of the reference{due}"


def _air(record: CalibrationRecord) -> str:
    air = record.conditions
    parts = (
        f"{amount(air.temperature_c, air.temperature_uncertainty_c)} °C "
        f"± {air.temperature_uncertainty_c:g} °C",
        f"{amount(air.pressure_kpa, air.pressure_uncertainty_kpa)} kPa "
        f"± {air.pressure_uncertainty_kpa:g} kPa",
        f"{air.humidity_percent:.0f} % ± {air.humidity_uncertainty_percent:g} %",
    )
    return ", ".join(parts) + " (k = 2)"
