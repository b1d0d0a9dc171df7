"""What would be lost, in words: which links and which masks differ from what is kept."""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from app.desktop.presenters.chain_links import LINKS
from app.desktop.presenters.limits_figures import mask_title
from app.procedure.mask_schema import Mask
from hardware.chain.schema import Chain
from hardware.toml_edit import value_at
from hardware.toml_lines import Place

_MOST_NAMED = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class UnsavedPart:
    """One thing that is not saved: what it is and what changed in it, and what saving does."""

    what: str
    saving: str


def unsaved_chain(before: Chain, now: Chain, *, file: Path | None) -> UnsavedPart:
    """Say which links of a chain differ from its file."""
    changed = {
        key.place
        for link in LINKS.values()
        for key in link.keys
        if value_at(before, key.place) != value_at(now, key.place)
    }
    links = _links(changed, shared=False) or _links(changed, shared=True)
    return UnsavedPart(
        what=f"Chain {now.name}: {_listed(links) or 'how it is set up'}.",
        saving=f"Save writes {file.name}." if file is not None else "Save asks for a file.",
    )


def unsaved_limits(
    before: Mapping[str, Mask], now: Mapping[str, Mask], *, procedure: str
) -> UnsavedPart:
    """Say which masks of a procedure differ from those that can be had again."""
    names = dict.fromkeys((*before, *now))
    changed = [mask_title(name) for name in names if before.get(name) != now.get(name)]
    return UnsavedPart(
        what=f"Limits of {procedure}: {_listed(changed)}.",
        saving="Save makes a draft revision of them; it wants a name and a reason.",
    )


def _links(changed: Collection[Place], *, shared: bool) -> list[str]:
    """Name the links of keys; by those that several share only where that is asked for."""
    count = Counter(key.place for link in LINKS.values() for key in link.keys)
    return [
        link.title.lower()
        for link in LINKS.values()
        if any(key.place in changed and (shared or count[key.place] == 1) for key in link.keys)
    ]


def _listed(names: Iterable[str]) -> str:
    """Name a few, and count the rest."""
    told = list(names)
    if len(told) > _MOST_NAMED:
        told = [*told[: _MOST_NAMED - 1], f"{len(told) - _MOST_NAMED + 1} more"]
    return " and ".join(filter(None, (", ".join(told[:-1]), *told[-1:])))
