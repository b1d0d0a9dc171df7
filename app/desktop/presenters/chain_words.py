"""What the row says in the Chain bay: the most pressing thing, and the one step that helps."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.chain_links import LINKS
from app.desktop.presenters.mark import Mark
from hardware.chain.edit import Draft
from hardware.chain.schema import Chain
from hardware.chain.stale import DueLink, due_links

_TABLES = {
    "output.drive": "output",
    "input.pressure": "microphone",
    "input.sense": "sense resistor",
    "input.terminal": "terminal input",
    "input.loopback": "loopback",
    "input.ambient": "second microphone",
}

_DRAFTS = {"ambient": "second microphone’s"}  # others go by the name of their table
_PROVED = frozenset({"output", "amplifier", "sense", "microphone", "input", "terminal", "loopback"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """What the last act came to; said until the next one."""

    mark: Mark
    happened: str
    next: str


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ChainSituation:
    """All that the words depend on.

    Attributes
    ----------
    chain : Chain
        As it is.
    link : str
        The chosen one: where several are stale, it is spoken of first.
    today : date
        From which ages count.
    is_saved : bool
        Whether the file says the same.
    has_file : bool
        Whether there is one.
    trouble : str
        Why the card cannot be had, as it stands under the card; empty where it can.
    draft : Draft or None
        An input that is being wired.
    notice : Notice or None
        What the last act came to.
    trial : float or None
        0 to 1 of a trial that plays.
    """

    chain: Chain
    link: str
    today: date
    is_saved: bool
    has_file: bool
    trouble: str = ""
    draft: Draft | None = None
    notice: Notice | None = None
    trial: float | None = None


def chain_words(now: ChainSituation) -> BayWords:
    """Return what the row says."""
    if now.trial is not None:
        return BayWords(
            mark=Mark.BUSY,
            happened="The procedure plays, 20 dB down.",
            next="wait until it ends; Esc stops it.",
            action="check_levels",
            enabled=False,
            progress=now.trial,
        )
    if now.notice is not None:
        return _said(now.notice.mark, now.notice.happened, now.notice.next)
    if now.trouble:
        return BayWords(
            mark=Mark.BAD,
            happened="The chain's card cannot be had.",
            next="join it or choose another, then press Look again.",
            action="look_again",
        )
    if now.draft is not None:
        return _said(
            Mark.UNDECIDED,
            f"The {_DRAFTS.get(now.draft.name, now.draft.name)} input is begun.",
            "fill the fields marked needed; until then nothing is changed.",
        )
    if not now.is_saved:
        return _unsaved(now)
    return _of_links(now)


def _said(mark: Mark, happened: str, next_: str) -> BayWords:
    return BayWords(mark=mark, happened=happened, next=next_, action="check_levels")


def _unsaved(now: ChainSituation) -> BayWords:
    happened = (
        "The chain differs from its file." if now.has_file else "The chain has no file of its own."
    )
    next_ = "check the levels, then save it." if now.has_file else "save it where you keep it."
    return BayWords(mark=Mark.INFO, happened=happened, next=next_, action="save")


def _of_links(now: ChainSituation) -> BayWords:
    dated = {one.key: one for one in due_links(now.chain)}
    chosen = LINKS[now.link].table
    stale = [one for one in dated.values() if one.due_on is not None and now.today >= one.due_on]
    stale.sort(key=lambda one: one.key != chosen)
    if stale:
        happened = _stale_words(stale, today=now.today)
        return _to_prove(now, Mark.STALE, happened, tables=[one.key for one in stale])
    tables = ("output.drive", *(f"input.{name}" for name in now.chain.input.wired))
    # No level is read from the second microphone: it needs no proof.
    tables = tuple(table for table in tables if table != "input.ambient")
    never = [table for table in tables if table not in dated]
    if never:
        called = [_TABLES[table] for table in never]
        names = " and ".join(filter(None, (", ".join(called[:-1]), called[-1])))
        verb = "was" if len(never) == 1 else "were"
        return _to_prove(now, Mark.NONE, f"The {names} {verb} never proved.", tables=never)
    if _is_microphone(now):
        return BayWords(
            mark=Mark.GOOD,
            happened="Every link is proved.",
            next="measure, or calibrate the microphone anew.",
            action="calibrate",
        )
    return _said(Mark.GOOD, "Every link is proved.", "check the levels, then measure.")


_PROVE = "press Calibrate: it leads through it; or type value and day at the right, and save."


def _to_prove(
    now: ChainSituation, mark: Mark, happened: str, *, tables: Collection[str]
) -> BayWords:
    if LINKS[now.link].table not in tables:  # Calibrate would prove another one
        return _said(mark, happened, "choose it on the strip, then press Calibrate.")
    if _is_microphone(now):
        return BayWords(
            mark=mark,
            happened=happened,
            next="put the pistonphone or calibrator on the microphone, and press Calibrate.",
            action="calibrate",
        )
    if can_prove(now.link):
        return BayWords(mark=mark, happened=happened, next=_PROVE, action="calibrate")
    return _said(mark, happened, "choose the link on the strip, then press Calibrate.")


def can_prove(link: str) -> bool:
    """Tell whether the bay has a way to prove a link; a preamplifier is proved with its input."""
    return link in _PROVED


def _is_microphone(now: ChainSituation) -> bool:
    return now.link == "microphone" and now.chain.input.pressure is not None


def _stale_words(stale: list[DueLink], *, today: date) -> str:
    first = stale[0]
    if first.due_on is None:
        return ""
    age = (today - first.calibrated_on).days
    term = (first.due_on - first.calibrated_on).days - 1
    more = f" {len(stale) - 1} more are stale." if len(stale) > 1 else ""
    return f"The {_TABLES[first.key]} was proved {age} days ago; its term is {term}.{more}"
