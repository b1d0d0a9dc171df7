"""The ribbon of takes: the newest first, which is shown, which are laid over it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from app.desktop.presenters.mark import Mark, mark_of
from app.desktop.presenters.measure_stale import is_stale, refused_in
from app.desktop.run_state import RunState
from app.measure.keep_merged import MERGED
from app.records.find_takes import TakeSummary

OVERLAY_KEYS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One take of the ribbon.

    Attributes
    ----------
    take_id : str
        Empty for the take that is being made.
    number, unit, when : str
        Running number, shortened serial, clock time or day.
    mark, word : Mark, str
        Its verdict.
    slot : int or None
        0: shown; 1 to 3: laid over it, in that colour; None: neither.
    key : str
        Digit that lays it over; empty where there is none.
    is_reference : bool
        Whether relative masks compare with it.
    """

    take_id: str
    number: str
    unit: str
    when: str
    mark: Mark
    word: str
    slot: int | None = None
    key: str = ""
    is_reference: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RibbonState:
    """All tiles that may be shown, and how many takes the store holds."""

    tiles: tuple[Tile, ...]
    count: int


def ribbon_state(
    summaries: Sequence[TakeSummary],
    *,
    count: int,
    slots: Mapping[str, int],
    reference: str | None,
    run: RunState,
    now: datetime,
) -> RibbonState:
    """Present the ribbon.

    Parameters
    ----------
    summaries : sequence of TakeSummary
        The newest first.
    count : int
        Takes in the store.
    slots : mapping of str to int
        By id: 0 for the take that is shown, 1 to 3 for those over it.
    reference : str or None
        Id of the reference take.
    run : RunState
        While active, its take stands first.
    now : datetime
        Aware, in the zone in which times are shown.
    """
    tiles = [_coming(run)] if run.makes_take else []
    key = 0
    for summary in summaries:
        slot = None if run.makes_take and slots.get(summary.id) == 0 else slots.get(summary.id)
        if slot != 0:
            key += 1
        mark, word = _standing(summary)
        tiles.append(
            Tile(
                take_id=summary.id,
                number=str(summary.number),
                unit=short_serial(summary.unit),
                when=when_text(summary.started_utc, now=now),
                mark=mark,
                word=word,
                slot=slot,
                key=str(key) if slot != 0 and key <= OVERLAY_KEYS else "",
                is_reference=summary.id == reference,
            )
        )
    return RibbonState(tiles=tuple(tiles), count=count + run.makes_take)


def _standing(summary: TakeSummary) -> tuple[Mark, str]:
    """Return mark and word of a take; where it stands on an unproved link, that."""
    word = summary.verdict.value
    if is_stale(summary.warnings):
        return Mark.STALE, f"{word}, made with a stale calibration"
    refused = refused_in(summary.warnings)
    if refused:
        return Mark.UNDECIDED, f"{word}, {refused[0].what} of the {refused[0].called} refused"
    return mark_of(summary.verdict), "merged" if summary.procedure.endswith(MERGED) else word


def nth_overlay(state: RibbonState, key: int) -> str | None:
    """Return the id of the take that a digit lays over the one shown."""
    return next((tile.take_id for tile in state.tiles if tile.key == str(key)), None)


def short_serial(serial: str | None) -> str:
    """Leave the first word of a long serial out: the ribbon mostly shows one product."""
    if serial is None:
        return "no serial"
    head, dash, rest = serial.partition("-")
    longest = 8
    return rest if dash and head and len(serial) > longest else serial


def when_text(moment: datetime, *, now: datetime) -> str:
    """Return the clock time of a moment today, and the day of one before."""
    local = moment.astimezone(now.tzinfo)
    if local.date() == now.date():
        return f"{local:%H:%M}"
    if local.year == now.year:
        return f"{local.day} {local:%b}"
    return f"{local:%Y-%m}"


def _coming(run: RunState) -> Tile:
    return Tile(
        take_id="",
        number=str(run.number),
        unit=short_serial(run.unit),
        when="now",
        mark=Mark.BUSY,
        word=run.phase.value,
        slot=0,
    )
