"""What a report of a take says about how it was made, through what, and what it rests on."""

import math
from collections.abc import Iterator, Sequence
from datetime import date

from app.procedure.excitation_schema import Level, Series, SteppedSine, Tones
from app.records.calibration_record import CalibrationRecord, UsedInstrument
from app.records.record import Record
from app.records.reread import Reread
from app.records.take import Take
from app.records.version import SOFTWARE_VERSION
from app.report.calibration_text import result_text
from app.report.units import short_unit
from hardware.chain.budget import Budget, impedance_budget, level_budget, source_budget
from hardware.chain.schema import Calibrated, Chain
from hardware.chain.shared import UNCERTAINTY_OF
from hardware.chain.snapshot import ChainSnapshot
from hardware.chain.stale import due_links

Facts = list[tuple[str, str]]
_MINUS = "\N{MINUS SIGN}"
_KHZ = 1000.0
_SILENT = "not stated"
_LEVELS = (("level_v_rms", "V rms"), ("level_w", "W"))
_UNITS = {  # by the end of a key of the chain file
    "v_per_pa": "V/Pa",
    "ohm": "Ω",
    "v": "V",
    "s": "s",
    "percent": "%",
    "db": "dB",
}


def made(record: Record) -> Facts:
    """Return how the take was made."""
    take = record.take
    air = take.chain.chain.ambient
    return [
        ("taken", f"{take.started_utc:%Y-%m-%d %H:%M:%S} UTC on {take.card}"),
        ("procedure", f"{take.procedure.name}, form {record.revision.number}"),
        ("limits", _limits(record)),
        ("excitation", _excitation(take)),
        ("geometry", _geometry(take)),
        ("level holds", _span(take)),
        ("chain", take.chain.chain.name),
        (
            "air",
            _true(
                f"{air.temperature_c:g} °C, {air.pressure_kpa:g} kPa, {air.humidity_percent:g} % "
                "relative humidity"
            ),
        ),
        *(
            (gave, f"in take {number}{_typed(gave, take)}")
            for gave, number in record.rests_on.items()
        ),
        *_known_mass(take),
        *_inspected(record),
    ]


def provenance(found: Reread) -> Facts:
    """Return what proves that the figures are those of the recording."""
    record = found.record
    take, recording = record.take, record.recording
    lost = ", ".join(map(str, recording.lost_channels))
    gaps = f", {recording.dropouts} gaps" if recording.dropouts else ""
    facts = [
        ("take", take.id),
        ("recording (SHA-256)", take.capture_sha256),
        (
            "",
            f"{recording.channels} channels, {recording.sample_rate_hz / _KHZ:g} kHz, "
            f"{recording.duration_s:.4g} s{gaps}{f', lost channels {lost}' if lost else ''}; "
            f"the excitation starts at frame {take.capture_offset}",
        ),
        ("procedure (SHA-256)", record.revision.sha256),
        *(("played (SHA-256)", f"{path}: {sha256}") for path, sha256 in take.audio.items()),
        ("derived by", f"Dustcap {take.software_version}; this page by {SOFTWARE_VERSION}"),
        ("still so", found.standing),
    ]
    if take.derived_from is not None and take.derived_from not in take.rests_on.values():
        facts.append(("derived again from", f"take {take.derived_from}"))
    if take.reference_take is not None:
        facts.append(("compared with", f"take {take.reference_take}"))
    facts += [(gave, f"in take {other}") for gave, other in take.rests_on.items()]
    return facts


def links(snapshot: ChainSnapshot) -> list[tuple[str, str, str, str]]:
    """Return each value of each link: key, value, expanded uncertainty, when it was proved."""
    chain = snapshot.chain
    due = {one.key: (one.calibrated_on, one.due_on) for one in due_links(chain)}
    rows = []
    for table, link in _links(chain):
        proved = _proved(due.get(table))
        for at, (key, value, interval) in enumerate(_values(link)):
            rows.append((f"{table}.{key}", value, interval, "" if at else proved))
    response = snapshot.response
    if response is not None:
        span = f"{len(response.hz)} points, {hertz(response.hz[0])} to {hertz(response.hz[-1])}"
        half = chain.input.pressure.response_uncertainty_db if chain.input.pressure else 0.0
        rows.append(("input.pressure.response", span, f"± {half:g} dB" if half else _SILENT, ""))
    return rows


def budgets(take: Take) -> list[tuple[str, Budget]]:
    """Return the budgets that the figures stand on, each with what it is of."""
    chain = take.chain.chain
    told = []
    if "level" in take.curves and chain.input.pressure is not None:
        told.append(("level for a voltage across the terminals", level_budget(chain)))
    if "impedance" in take.curves and chain.input.sense is not None:
        direct = chain.input.terminal is not None
        told.append(("impedance", impedance_budget(chain)) if direct else _over_sense(chain))
    return told


def _over_sense(chain: Chain) -> tuple[str, Budget]:
    return "source over sense voltage, which the impedance follows from", source_budget(chain)


def calibration_facts(records: Sequence[CalibrationRecord]) -> Facts:
    """Return what each calibration gave, when, by whom, and what it is traceable to."""
    return [
        (
            one.quantity,
            f"{result_text(one.results[0])}; {one.made_utc:%Y-%m-%d} by {one.operator}, "
            f"{_instrument(one.instrument)}; calibration {one.id[:8]}",
        )
        for one in records
    ]


def digits(value: float) -> str:
    """Write a figure whose interval is told elsewhere, with four digits."""
    return _true(f"{value:.4g}")


def hertz(value: float) -> str:
    """Write a frequency with four digits: ``75.2 Hz``, ``1.25 kHz``."""
    shown = float(f"{value:.4g}")
    return f"{shown / _KHZ:g} kHz" if shown >= _KHZ else f"{shown:g} Hz"


def _limits(record: Record) -> str:
    count = len(record.take.procedure.masks)
    masks = {0: "none", 1: "1 mask"}.get(count, f"{count} masks")
    limits = record.limits
    if limits is None:
        return f"{masks} of the procedure's own" if count else masks
    revision = limits.revision
    if revision is None:
        return f"{masks}; {limits.words}"
    drawn = f"drawn by {revision.by}: {revision.why}"
    approved = f"; approved by {revision.approved_by}" if revision.approved_by else ""
    return f"{masks}; {limits.words}, {drawn}{approved}"


def _excitation(take: Take) -> str:
    excitation = take.procedure.excitation
    said = _one_excitation(excitation)
    if isinstance(excitation, Series):
        said += f": {'; then '.join(map(_one_excitation, excitation.parts))}"
    return said


def _one_excitation(excitation: Level) -> str:
    told = excitation.model_dump(exclude_none=True)
    words = [str(told["kind"]).replace("_", " ")]
    words += [f"{told[key]:g} {unit}" for key, unit in _LEVELS if key in told]
    if "start_hz" in told:
        words.append(f"{hertz(told['start_hz'])} to {hertz(told['stop_hz'])}")
    if isinstance(excitation, Tones):
        words += [*map(hertz, excitation.hz), f"{excitation.dwell_s:g} s each"]
    if isinstance(excitation, SteppedSine):
        zones = (f"{hertz(one.from_hz)} to {hertz(one.to_hz)}" for one in excitation.zones)
        words.append(" and ".join(zones))
    if "duration_s" in told:
        words.append(f"{told['duration_s']:g} s")
    if told.get("repeat", 1) != 1:
        words.append(f"{told['repeat']} times")
    return ", ".join(words)


def _geometry(take: Take) -> str:
    geometry = take.procedure.geometry
    gate = f"gate {geometry.gate_ms:g} ms" if geometry.gate_ms else "no gate"
    away = f"{geometry.distance_m:g} m"
    if geometry.distance_uncertainty_m:
        away += f" ± {geometry.distance_uncertainty_m:g} m"
    mounting = geometry.mounting.replace("_", " ")
    return (
        f"{mounting}, microphone at {away}, level for {geometry.reference_distance_m:g} m, {gate}"
    )


def _span(take: Take) -> str:
    curve = take.curves.get("level") or take.curves.get("impedance")
    if curve is None:
        return "no curve"
    valid = curve.valid
    if valid.low_hz > valid.high_hz:
        return f"nowhere ({valid.low_reason})"
    return (
        f"from {hertz(valid.low_hz)} ({valid.low_reason}) to {hertz(valid.high_hz)} "
        f"({valid.high_reason})"
    )


def _typed(gave: str, take: Take) -> str:
    asked = take.procedure.quantities.parameters
    amounts = {
        "added mass": (asked.added_mass_g, "g", asked.added_mass_uncertainty_percent),
        "closed box": (asked.box_l, "l", asked.box_uncertainty_percent),
    }
    value, unit, percent = amounts.get(gave, (None, "", 0.0))
    return "" if value is None else f": {_stated(value, unit, percent=percent)}"


def _known_mass(take: Take) -> Facts:
    asked = take.procedure.quantities.parameters
    if asked.mms_g is None:
        return []
    came = f", from {asked.mms_from}" if asked.mms_from else ""
    told = _stated(asked.mms_g, "g", percent=asked.mms_uncertainty_percent)
    return [("moving mass", f"{told}{came}")]


def _stated(value: float, unit: str, *, percent: float) -> str:
    return f"{value:g} {unit}" + (f" ± {percent:g} %" if percent else ", no uncertainty stated")


def _inspected(record: Record) -> Facts:
    mark = record.mark
    return [] if mark is None else [("inspected", f"{mark.mark}, by {mark.by}: {mark.why}")]


def _links(chain: Chain) -> Iterator[tuple[str, Calibrated]]:
    yield "output.drive", chain.output.drive
    for name, link in chain.input.wired.items():
        yield f"input.{name}", link


def _values(link: Calibrated) -> Iterator[tuple[str, str, str]]:
    for key, uncertainty in UNCERTAINTY_OF.items():
        value = getattr(link, key, None)
        if not isinstance(value, float) or not value:
            continue
        half = float(getattr(link, uncertainty, 0.0))
        interval = f"± {half:g} {_unit(uncertainty)}" if half else _SILENT
        yield key, f"{_true(f'{value:.6g}')} {_unit(key)}".strip(), interval


def _unit(key: str) -> str:
    return next((unit for end, unit in _UNITS.items() if key.endswith(f"_{end}")), "")


def _proved(due: tuple[date, date | None] | None) -> str:
    if due is None:
        return "not proved"
    made_on, until = due
    return f"{made_on}" + (f", due {until}" if until else "")


def _instrument(used: UsedInstrument) -> str:
    named = f"{used.name} No. {used.serial}" if used.serial else used.name
    return f"{named}, certificate {used.certificate}" if used.certificate else named


def _true(text: str) -> str:
    return text.replace("-", _MINUS)


def unit_of(take: Take, quantity: str) -> str:
    """Return the unit of one of a take's figures as it stands beside a value."""
    found = take.curves.get(quantity) or take.numbers.get(quantity)
    return short_unit(found.unit) if found else ""


def margin_text(margin: float, unit: str) -> str:
    """Write a margin, positive inside; a dash where it is not known."""
    if not math.isfinite(margin):
        return "—"
    return f"{margin:+.2f}".replace("-", _MINUS) + f" {unit}"
