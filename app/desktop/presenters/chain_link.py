"""The chosen link: its values as fields, what follows from them, and how it stands."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from app.desktop.presenters.chain_links import LINKS, KeySpec, LinkSpec, is_wired, text_of
from app.desktop.presenters.chain_proof import CAUTION, NEED
from app.desktop.presenters.figures import Fact, fact_of
from app.desktop.presenters.heard import Heard
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.strip_levels import microphone_live, second_live
from app.measure.will_do import overload_db
from hardware.chain.budget import impedance_relative, level_budget, source_relative, voltage_budget
from hardware.chain.edit import Draft
from hardware.chain.schema import Chain
from hardware.chain.stale import due_links
from hardware.toml_lines import Place

_COVERAGE = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RefusedKey:
    """What was typed for a key of the chain and not taken."""

    place: Place
    text: str
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkField:
    """One key as a field; ``is_needed`` where nothing holds without it."""

    spec: KeySpec
    text: str
    refusal: str = ""
    is_needed: bool = False

    @property
    def placeholder(self) -> str:
        """What stands in it while nothing does."""
        return "needed" if self.is_needed else self.spec.placeholder


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkCard:
    """The right column.

    Attributes
    ----------
    link : str
        Key of the link.
    title, fact : str
        Its name, and where it is wired.
    fields : tuple of LinkField
        Empty where it is not wired.
    facts : tuple of Fact
        What follows from the values.
    mark, standing : Mark, str
        How it stands, in a sentence or two.
    need, caution : str
        What proving it takes, and what to beware of; empty where there is nothing to say.
    """

    link: str
    title: str
    fact: str
    fields: tuple[LinkField, ...]
    facts: tuple[Fact, ...]
    mark: Mark
    standing: str
    need: str
    caution: str


def link_card(
    chain: Chain,
    link: str,
    *,
    today: date,
    draft: Draft | None = None,
    refused: Mapping[Place, RefusedKey] | None = None,
    idle_dbfs: tuple[float, ...] = (),
) -> LinkCard:
    """Present one link of a chain.

    Parameters
    ----------
    chain : Chain
        As it is.
    link : str
        Key of the link.
    today : date
        From which ages count.
    draft : Draft or None
        An input that is being wired.
    refused : mapping of place to RefusedKey
        What was typed and not taken.
    idle_dbfs : tuple of float
        What each input hears while nothing plays.
    """
    spec = LINKS[link]
    begun = draft is not None and spec.table == f"input.{draft.name}"
    wired = is_wired(chain, link)
    own = draft if begun else None
    fields = [
        _field(chain, key, draft=own, refused=refused or {})
        for key in (spec.keys if wired or begun else ())
    ]
    mark, standing = _standing(chain, spec, today=today, wired=wired, begun=begun)
    return LinkCard(
        link=link,
        title=spec.title,
        fact=_channel(chain, spec, draft=own),
        fields=tuple(fields),
        facts=_facts(chain, link, idle_dbfs=idle_dbfs) if wired else (),
        mark=mark,
        standing=standing,
        need=NEED.get(link, ""),
        caution=CAUTION.get(link, ""),
    )


def _field(
    chain: Chain, spec: KeySpec, *, draft: Draft | None, refused: Mapping[Place, RefusedKey]
) -> LinkField:
    own = refused.get(spec.place)
    text = text_of(chain, spec, draft=draft)
    return LinkField(
        spec=spec,
        text=own.text if own is not None else text,
        refusal=own.sentence if own is not None else "",
        is_needed=draft is not None and not spec.placeholder and not text,
    )


def _channel(chain: Chain, spec: LinkSpec, *, draft: Draft | None) -> str:
    if draft is not None:
        return f"input {draft.values.get('channel')}"
    if spec.table == "output.drive":
        return f"output {chain.output.drive.channel}"
    wired = chain.input.wired.get(spec.table.removeprefix("input."))
    return f"input {wired.channel}" if wired is not None else "not wired"


def _standing(
    chain: Chain, spec: LinkSpec, *, today: date, wired: bool, begun: bool
) -> tuple[Mark, str]:
    if begun:
        return Mark.UNDECIDED, "Begun. It is wired as soon as the fields marked needed are filled."
    if not wired:
        return Mark.NONE, "Not wired. Choose its channel at the left, under Wiring."
    if not spec.interval:
        return Mark.INFO, spec.standing
    found = next((one for one in due_links(chain) if one.key == spec.table), None)
    if found is None:
        return (
            Mark.NONE,
            "Not proved: the chain does not say when it was calibrated. Type the day, and for how "
            "long it holds.",
        )
    age = (today - found.calibrated_on).days
    if found.due_on is None:
        return Mark.GOOD, f"Proved {_ago(age)}. It has no term: nothing will call it stale."
    last = found.due_on - timedelta(days=1)
    if today >= found.due_on:
        term = (last - found.calibrated_on).days
        return (
            Mark.STALE,
            f"Stale. Its term of {term} days ended on {_day(last, today=today)}. Every take since "
            "then carries a warning, and its verdict stays undecided.",
        )
    return Mark.GOOD, f"Proved {_ago(age)}; good until {_day(last, today=today)}."


def _facts(chain: Chain, link: str, *, idle_dbfs: tuple[float, ...]) -> tuple[Fact, ...]:
    match link:
        case "microphone" | "preamplifier" | "input":
            return (*_of_pressure(chain, idle_dbfs=idle_dbfs), _of_level(chain))
        case "output" | "amplifier":
            drive = chain.output.drive
            reach = drive.full_scale_v * abs(drive.amplifier_gain)
            interval = _COVERAGE * voltage_budget(chain).standard_uncertainty
            return (
                _peak("reaches", reach, "V"),
                _peak("held to", math.sqrt(2) * drive.max_terminal_v_rms, "V"),
                _share("in voltages", interval, "%"),
            )
        case "sense":
            relative = (impedance_relative if chain.input.terminal else source_relative)(chain)
            sense = chain.input.sense
            most = sense.full_scale_v / (sense.gain * sense.resistor_ohm) if sense else 0.0
            return (
                _peak("overload at", most, "A"),
                _share("in impedances", 100 * _COVERAGE * relative, "%"),
            )
        case "ambient":
            return _of_second(chain, idle_dbfs=idle_dbfs)
        case _:
            return ()


def _of_pressure(chain: Chain, *, idle_dbfs: tuple[float, ...]) -> list[Fact]:
    mic = chain.input.pressure
    most_db = overload_db(chain)
    if mic is None or most_db is None:
        return []
    facts = [Fact(name="overload at", value=f"{most_db:.0f}", unit="dB")]
    if mic.channel <= len(idle_dbfs):
        heard = Heard(now_dbfs=idle_dbfs, held_dbfs=idle_dbfs)
        noise, unit = microphone_live(mic, heard).text.split(" ")
        facts.append(Fact(name="hears now", value=noise, unit=unit))
    return facts


def _of_second(chain: Chain, *, idle_dbfs: tuple[float, ...]) -> tuple[Fact, ...]:
    second, mic = chain.input.ambient, chain.input.pressure
    heard = Heard(now_dbfs=idle_dbfs, held_dbfs=idle_dbfs)
    found = [
        ("hears now", second_live(second, heard).text if second is not None else ""),
        ("microphone hears", microphone_live(mic, heard).text if mic is not None else ""),
    ]
    return tuple(
        Fact(name=name, value=text.split(" ")[0], unit="dB", note="dB re 20 µPa, about")
        for name, text in found
        if text
    )


def _of_level(chain: Chain) -> Fact:
    return _share("in levels", _COVERAGE * level_budget(chain).standard_uncertainty, "dB")


def _peak(name: str, value: float, unit: str) -> Fact:
    return Fact(name=f"{name}, peak", value=f"{value:#.3g}".rstrip("."), unit=unit)


def _share(name: str, interval: float, unit: str) -> Fact:
    written = fact_of(name, 0.0, interval, unit=unit)
    value = written.interval or "exact"
    return Fact(name=name, value=value, unit=unit if written.interval else "", note="k = 2")


def _ago(days: int) -> str:
    if days <= 0:
        return "today"
    return "yesterday" if days == 1 else f"{days} days ago"


def _day(day: date, *, today: date) -> str:
    return f"{day.day} {day:%B}" if day.year == today.year else f"{day.day} {day:%B %Y}"
