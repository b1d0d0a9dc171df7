"""The record at the right: what was found, and everything that defends it."""

import math
from dataclasses import dataclass
from datetime import date

from app.desktop.presenters.excitation import KINDS
from app.desktop.presenters.figures import NONE, Fact, age_text, hz_text
from app.desktop.presenters.heard import Heard
from app.desktop.presenters.mark import Mark, mark_of
from app.desktop.presenters.measure_marks import figure_marks
from app.desktop.presenters.measure_names import quantity_name
from app.desktop.presenters.measure_numbers import NumbersState, numbers_state
from app.desktop.presenters.measure_stale import stale_on
from app.desktop.presenters.measure_verdict import MaskLine, VerdictState, verdict_state
from app.desktop.presenters.measure_warnings import Said, warnings_state
from app.desktop.presenters.strip import OnBench, strip_state
from app.desktop.presenters.strip_health import health
from app.measure.drive_level import stated_v_rms
from app.procedure.excitation_schema import LogSweep
from app.records.record import Record, RecordingFacts
from app.records.take import Take
from hardware.chain.schema import Chain
from hardware.chain.stale import due_links

# Links by key of the strip: what they are called here, and their table of the chain file.
_LINKS = (
    ("microphone", "microphone", "input.pressure"),
    ("sense", "sense resistor", "input.sense"),
    ("amplifier", "amplifier", "output.drive"),
)
_KHZ = 1000.0


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class RecordState:
    """The right column for one take.

    Attributes
    ----------
    title, told : str
        Head: which take, of which unit.
    mark, sentence : Mark, str
        The verdict and what it stands on.
    made : tuple of Fact
        How it was made, in words.
    masks : tuple of MaskLine
        The gravest first.
    numbers : NumbersState
        Each with its interval.
    said : tuple of Said
        Warnings and likely causes.
    """

    title: str
    told: str
    mark: Mark
    sentence: str
    made: tuple[Fact, ...]
    masks: tuple[MaskLine, ...]
    numbers: NumbersState
    said: tuple[Said, ...]


def record_state(record: Record, *, software: str) -> RecordState:
    """Present a record; ``software`` is the version that runs now."""
    take = record.take
    day = take.started_utc.date()
    stale = stale_on(take.chain.chain, on=day)
    verdict = verdict_state(take, stale=stale)
    return RecordState(
        title=f"Take {record.number}",
        told=take.unit or "no serial",
        mark=mark_of(take.verdict),
        sentence=_sentence(verdict),
        made=_made(record, day=day, software=software),
        masks=verdict.masks,
        numbers=numbers_state(take, number=record.number, marks=figure_marks(take, stale=stale)),
        said=warnings_state(take, stale=stale).said,
    )


def _sentence(verdict: VerdictState) -> str:
    if not verdict.masks or verdict.mark is Mark.UNDECIDED:
        return f"{verdict.word}: {verdict.detail}" if verdict.detail else verdict.word
    first = verdict.masks[0]
    if verdict.mark is Mark.GOOD and first.margin != NONE:
        return f"{verdict.word}, margin {first.margin}"
    return f"{verdict.word}: {quantity_name(first.quantity)}"


def _made(record: Record, *, day: date, software: str) -> tuple[Fact, ...]:
    take = record.take
    facts = [
        Fact(name="procedure", value=f"{take.procedure.name}, form {record.revision.number}"),
        Fact(name="limits", value=_limits(record), note=_limits_note(record)),
        Fact(name="excitation", value=excitation_words(take)),
        Fact(name="geometry", value=_geometry(take)),
        _valid(take),
        *_links(take.chain.chain, day=day),
        _air(take.chain.chain),
        Fact(name="taken", value=f"{take.started_utc:%Y-%m-%d %H:%M:%S} UTC", note=take.card),
        Fact(name="software", value=_software(take, now=software)),
        _capture(record.recording, take=take),
        *_relations(record),
    ]
    return tuple(facts)


def excitation_words(take: Take) -> str:
    """Say in a few words what was played: kind, level, duration."""
    excitation = take.procedure.excitation
    volts = stated_v_rms(take.procedure, chain=take.chain.chain)
    parts = [
        dict(KINDS)[excitation.kind],
        f"{volts:.3g} V" if volts is not None else "",
        f"{excitation.duration_s:g} s" if isinstance(excitation, LogSweep) else "",
    ]
    return ", ".join(part for part in parts if part)


def _limits(record: Record) -> str:
    count = len(record.take.procedure.masks)
    if not count:
        return "none"
    masks = "1 mask" if count == 1 else f"{count} masks"
    return f"{masks} of its own" if record.limits is None else f"{record.limits.words}, {masks}"


def _limits_note(record: Record) -> str:
    revision = record.limits.revision if record.limits is not None else None
    if revision is None:
        return ""
    approved = f"; approved by {revision.approved_by}" if revision.approved_by else ""
    return f"Drawn by {revision.by}: {revision.why}{approved}"


def _geometry(take: Take) -> str:
    geometry = take.procedure.geometry
    gate = f"gate {geometry.gate_ms:g} ms" if geometry.gate_ms else "no gate"
    return f"{geometry.distance_m:g} m, {geometry.mounting.replace('_', ' ')}, {gate}"


def _valid(take: Take) -> Fact:
    curve = take.curves.get("level") or take.curves.get("impedance")
    if curve is None:
        return Fact(name="valid", value="no curve")
    valid = curve.valid
    if valid.low_hz > valid.high_hz:
        return Fact(name="valid", value=f"nowhere ({valid.low_reason})", mark=Mark.CAUTION)
    note = f"below: {valid.low_reason}; above: {valid.high_reason}"
    return Fact(
        name="valid", value=f"{hz_text(valid.low_hz)} to {hz_text(valid.high_hz)}", note=note
    )


def _links(chain: Chain, *, day: date) -> list[Fact]:
    tiles = {link.key: link for link in strip_state(chain, Heard(), bench=OnBench(today=day)).links}
    ages = {link.key: (day - link.calibrated_on).days for link in due_links(chain)}
    facts = []
    for key, name, table in _LINKS:
        tile = tiles[key]
        if not tile.is_there:
            continue
        standing = health(chain, table, on=day)
        age = _age(ages.get(table))
        facts.append(
            Fact(name=name, value=f"{tile.value}, {age}", mark=standing.mark, note=standing.words)
        )
    return facts


def _age(days: int | None) -> str:
    if days is None:
        return "not proved"
    return "that day" if days <= 0 else age_text(days)


def _air(chain: Chain) -> Fact:
    air = chain.ambient
    value = f"{air.temperature_c:g} °C, {air.pressure_kpa:.4g} kPa, {air.humidity_percent:g} %"
    return Fact(name="air", value=value.replace("-", "−"))


def _software(take: Take, *, now: str) -> str:
    same = take.software_version == now
    return (
        f"{take.software_version}, same as now" if same else f"{take.software_version}, now {now}"
    )


def _capture(recording: RecordingFacts, *, take: Take) -> Fact:
    channels = "1 channel" if recording.channels == 1 else f"{recording.channels} channels"
    rate = f"{recording.sample_rate_hz / _KHZ:g} kHz"
    lost = recording.dropouts or recording.lost_channels
    return Fact(
        name="capture",
        value=f"{channels}, {rate}, {recording.duration_s:.3g} s",
        mark=Mark.CAUTION if lost else None,
        note=f"SHA-256 {take.capture_sha256[:16]}…, {recording.dropouts} dropouts, by {take.card}",
    )


def _relations(record: Record) -> list[Fact]:
    facts = []
    merged_from = record.take.derived_from in record.take.rests_on.values()
    if record.derived_from_number is not None and not merged_from:
        facts.append(Fact(name="derived again from", value=f"take {record.derived_from_number}"))
    facts += [Fact(name=gave, value=f"take {number}") for gave, number in record.rests_on.items()]
    facts += [Fact(name="gave to others", value=", ".join(sorted(record.gave)))] * bool(record.gave)
    if record.reference_number is not None:
        facts.append(Fact(name="compared with", value=f"take {record.reference_number}"))
    if record.is_reference:
        facts.append(Fact(name="standing", value="reference take", mark=Mark.INFO))
    if record.mark is not None:
        mark = Mark.GOOD if record.mark.mark == "good" else Mark.BAD
        inspected = f"{record.mark.mark}, {record.mark.by}"
        facts.append(Fact(name="inspected", value=inspected, mark=mark, note=record.mark.why))
    return facts


def copied(record: Record, state: RecordState) -> str:
    """Return a record as tab-separated text, for a sheet or a report."""
    rows = [(state.title, state.told), ("verdict", state.sentence)]
    rows += [(fact.name, fact.value) for fact in state.made]
    lines = ["\t".join(row) for row in rows]
    lines += ["", "number\tvalue\tinterval\tk\tunit"]
    for name, number in record.take.numbers.items():
        interval = "" if number.uncertainty is None else f"{number.uncertainty:.6g}"
        value = f"{number.value:.9g}" if math.isfinite(number.value) else ""
        lines.append(f"{name}\t{value}\t{interval}\t{number.k:g}\t{number.unit}")
    lines += ["", "mask\tverdict\tmargin\tat"]
    lines += [f"{m.mask}\t{m.mark.value}\t{m.margin}\t{m.at}" for m in state.masks]
    return "\n".join(lines) + "\n"
