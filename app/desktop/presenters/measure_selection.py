"""Which take is shown, and which are laid over it in which colour."""

from dataclasses import dataclass, replace

SLOTS = (1, 2, 3)  # colours left for overlays; 0 is the take that is shown


@dataclass(frozen=True, slots=True, kw_only=True)
class Overlay:
    """A take over the one shown, and its colour; it keeps the colour while it stays."""

    take_id: str
    slot: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Selection:
    """Ids of the takes on the plots.

    Attributes
    ----------
    shown : str or None
        None before there is any.
    overlays : tuple of Overlay
        The oldest first.
    """

    shown: str | None = None
    overlays: tuple[Overlay, ...] = ()

    @property
    def slots(self) -> dict[str, int]:
        """Colour by id; 0 for the take that is shown."""
        over = {one.take_id: one.slot for one in self.overlays}
        return over if self.shown is None else {**over, self.shown: 0}


def show(selection: Selection, take_id: str) -> Selection:
    """Show a take; what lies over it stays, but never twice on the plots."""
    rest = tuple(one for one in selection.overlays if one.take_id != take_id)
    return Selection(shown=take_id, overlays=rest)


def toggle(selection: Selection, take_id: str) -> Selection:
    """Lay a take over the one shown, or take it away; with no colour left the oldest goes."""
    if take_id == selection.shown:
        return selection
    rest = tuple(one for one in selection.overlays if one.take_id != take_id)
    if len(rest) < len(selection.overlays):
        return replace(selection, overlays=rest)
    if len(rest) == len(SLOTS):
        rest = rest[1:]
    taken = {one.slot for one in rest}
    free = next(slot for slot in SLOTS if slot not in taken)
    return replace(selection, overlays=(*rest, Overlay(take_id=take_id, slot=free)))
