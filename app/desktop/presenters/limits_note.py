"""What hangs over the chosen point: where it is, where it was, what that does."""

from app.desktop.presenters.figures import hz_text
from app.desktop.presenters.limits_figures import limit_text, unit_of
from app.desktop.presenters.limits_point import Chosen
from app.measure.compare_trials import Comparison
from app.measure.trial import Trial
from app.procedure.edit_masks import limit_at, points_of
from app.procedure.mask_schema import Mask


def point_note(
    mask: Mask,
    *,
    name: str,
    before: Mask | None,
    chosen: Chosen | None,
    found: Comparison | None,
    trial: Trial | None,
) -> tuple[str, ...]:
    """Return one or two lines; none where no point is chosen."""
    points = points_of(mask, side=chosen.side) if chosen is not None else ()
    if chosen is None or chosen.index >= len(points):
        return ()
    hz, value = points[chosen.index]
    unit = unit_of(mask.quantity)
    first = f"{chosen.side} at {hz_text(hz)}: {limit_text(value, mask=mask)} {unit}"
    second = [_was(before, chosen=chosen, hz=hz, value=value, unit=unit), _does(name, found, trial)]
    told = "; ".join(filter(None, second))
    return (first, told) if told else (first,)


def _was(before: Mask | None, *, chosen: Chosen, hz: float, value: float, unit: str) -> str:
    if before is None:
        return ""
    old = limit_at(before, side=chosen.side, hz=hz)
    if old is None or abs(old - value) < 1e-9:
        return "no limit before" if old is None else ""
    places = limit_text(round(old, 3), mask=before)
    return f"was {places} {unit}"


def _does(name: str, found: Comparison | None, trial: Trial | None) -> str:
    if found is None or trial is None:
        return ""
    flips, told = found.flips, []
    if name not in flips.names:
        return ""
    mine = flips.units[flips.cause == flips.names.index(name)]
    for verb, so in (("stops", found.draft.fails), ("passes", found.draft.conforms)):
        units = mine[so[mine]]
        if units.size:
            kind = " bad" if trial.bad[units].all() else ""
            told.append(f"{verb} {units.size}{kind} unit{'s' if units.size != 1 else ''}")
    return ", ".join(told)
