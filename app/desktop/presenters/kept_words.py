"""Words of a kept calibration that several places use: its link, its values, how far it moved."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from app.calibrate.health import expanded_db, level_db
from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.chain_links import LINKS
from app.desktop.presenters.figures import interval_text, value_text
from app.desktop.presenters.mark import Mark
from app.records.calibration_record import CalibrationRecord, Purpose
from app.records.calibration_state import agrees
from app.report.calibration_document import told
from app.report.units import short_unit
from dsp.calibration.calibration import Calibration
from hardware.chain.schema import Chain

CHAIN_LIMITS = "chain"  # the link of what a chain adds of its own
_TABLES = {
    CHAIN_LIMITS: "Limits of the chain",
    "output.drive": "Output",
    "input.pressure": "Microphone",
    "input.sense": "Sense resistor",
    "input.terminal": "Terminals",
    "input.loopback": "Loopback",
}
_KEYS = {
    "sensitivity_v_per_pa": "sensitivity",
    "full_scale_v": "full scale",
    "amplifier_gain": "gain of the amplifier",
    "preamplifier_gain": "gain of the preamplifier",
    "resistor_ohm": "resistor",
    "gain": "gain",
    "lead_ohm": "leads",
    "late_s": "sense later than terminals by",
}
_POLARITY = "found.polarity"
_FOUND = "found."  # how figures begin that no value of a chain stands on
_FIGURES = {"pressure": "microphone", "terminal": "terminals", "thd": "THD", "latency": "delay"}
_UNITS = frozenset({"s", "db", "dbfs", "percent"})  # their figures stand with them


def link_called(record: CalibrationRecord) -> str:
    """Return what a person calls the link of a record."""
    for spec in LINKS.values():
        if spec.interval and f"{spec.table}.{spec.main}" == record.quantity:
            return spec.title
    return _TABLES.get(record.link, record.link)


def table_called(table: str) -> str:
    """Return what a person calls a table of the chain file."""
    return _TABLES.get(table, table)


def quantity_called(quantity: str) -> str:
    """Return what a person calls a quantity, a key of the chain file or a figure that was found."""
    if quantity.startswith(_FOUND):
        words = quantity.removeprefix(_FOUND).replace(".", " ").replace("_", " ").split()
        return " ".join(_FIGURES.get(word, word) for word in words if word not in _UNITS)
    return _KEYS.get(quantity.rpartition(".")[2], quantity)


def result_words(result: Calibration) -> str:
    """Return a value with its interval and unit, as people say them."""
    if result.quantity.startswith(_POLARITY):
        return "inverted" if result.value < 0 else "not inverted"
    said = told(result)
    if said.unit == "s":
        said = replace(said, value=1e3 * said.value, uncertainty=1e3 * said.uncertainty, unit="ms")
    if "dbfs" in result.quantity:
        said = replace(said, unit="dBFS")
    parts = (
        value_text(said.value, said.uncertainty or None),
        interval_text(said.uncertainty or None),
        short_unit(said.unit),
    )
    return " ".join(part for part in parts if part)


def last_before(
    record: CalibrationRecord, records: Sequence[CalibrationRecord]
) -> CalibrationRecord | None:
    """Return the accepted calibration of the same quantity that was made last before a record.

    Parameters
    ----------
    record : CalibrationRecord
        Which one.
    records : sequence of CalibrationRecord
        Of its chain, the newest first.
    """
    return next(
        (
            one
            for one in records
            if one.made_utc < record.made_utc
            and one.accepted
            and one.purpose is Purpose.CALIBRATION
            and one.quantity == record.quantity
            and one.chain.chain.name == record.chain.chain.name
        ),
        None,
    )


def change_words(record: CalibrationRecord, before: CalibrationRecord | None) -> str:
    """Say how far a value lies from the last one: dB for a sensitivity, otherwise %."""
    if before is None or record.quantity.startswith(_FOUND):
        return "—"
    now, then = record.results[0], before.results[0]
    if not now.value or not then.value:
        return "—"
    if now.budget.unit == "dB":
        change, interval, unit = level_db(now) - level_db(then), expanded_db(now), "dB"
    else:
        interval = now.budget.expanded if now.budget.unit == "%" else 0.0
        change, unit = 100 * (now.value / then.value - 1), "%"
    return f"{value_text(change, interval or None, signed=True)} {unit}"


def standing(record: CalibrationRecord, *, in_force: frozenset[str]) -> tuple[Mark, str]:
    """Return the mark of a record, and in a word what it is now.

    Parameters
    ----------
    record : CalibrationRecord
        Which one.
    in_force : frozenset of str
        Ids of those that the chain stands on.
    """
    if not record.accepted:
        return Mark.BAD, "refused"
    if record.purpose is Purpose.CHECK:
        return Mark.GOOD, "check"
    if record.id in in_force:
        return Mark.GOOD, "in force"
    return Mark.NONE, "accepted"


def in_force(records: Sequence[CalibrationRecord], *, chain: Chain) -> frozenset[str]:
    """Return the ids of those that a chain stands on: the newest of a quantity that agrees.

    Parameters
    ----------
    records : sequence of CalibrationRecord
        The newest first; those of other chains stand under none.
    chain : Chain
        As it is.
    """
    found: dict[str, str] = {}
    for one in records:
        if (
            one.accepted
            and one.purpose is Purpose.CALIBRATION
            and one.chain.chain.name == chain.name
            and agrees(chain, holds_while=one.holds_while)
        ):
            found.setdefault(one.quantity, one.id)
    return frozenset(found.values())


def made_words(record: CalibrationRecord) -> str:
    """Return day and time, UTC."""
    return f"{record.made_utc:%Y-%m-%d %H:%M}"


def instrument_words(record: CalibrationRecord) -> str:
    """Return the instrument with its number."""
    used = record.instrument
    return f"{used.name}, No. {used.serial}" if used.serial else used.name


def opened_words(title: str, *, mark: Mark, word: str) -> BayWords:
    """Say which record is open."""
    return BayWords(
        mark=mark,
        happened=f"{title}: {word}.",
        next="print its certificate; Esc goes back.",
        action="certificate",
    )


def printing_words() -> BayWords:
    """Say that a page is on its way."""
    return BayWords(
        mark=Mark.BUSY,
        happened="The certificate is being drawn.",
        next="wait a moment.",
        action="certificate",
        enabled=False,
    )


def printed_words(page: Path) -> BayWords:
    """Say where a page lies."""
    return BayWords(
        mark=Mark.GOOD,
        happened=f"Certificate: {page}",
        next="the same pages lie beside it as SVG; fill in laboratory and signature by hand.",
        action="certificate",
    )
