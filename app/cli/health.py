"""``dustcap health``: how much every link of a chain can be relied on today."""

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.exits import Exit
from app.cli.output import print_json, print_table

if TYPE_CHECKING:
    from app.calibrate.health import LinkHealth
    from dsp.calibration.drift import Drift

_MARKS = {"failed": "■", "stale": "◆", "watch": "◆"}


def health(
    chain: Annotated[Path, typer.Option(help="Chain file.")],
    store: Annotated[
        str | None, typer.Option(help="Store, file or URL; otherwise your own.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False,
) -> int:
    """Tell the age, the proof and the drift of every link; 1 if verdicts cannot stand on one."""
    from app.calibrate.health import chain_health
    from app.records.store import Store
    from hardware.chain.load import load_chain

    loaded = load_chain(chain).chain
    with Store.open(store) as records:
        links = chain_health(records, loaded)
    trusted = all(link.trusted for link in links)
    if as_json:
        print_json(
            {
                "chain": loaded.name,
                "trusted": trusted,
                "links": [_document(link) for link in links],
            }
        )
    else:
        _print(links)
    return Exit.WELL if trusted else Exit.DOES_NOT_CONFORM


def _print(links: "tuple[LinkHealth, ...]") -> None:
    print_table(
        ("link", "health", "proven on", "age", "due on", "by"),
        [
            (
                link.link,
                f"{_MARKS.get(link.health.value, '●')} {link.health.value}",
                str(link.due.calibrated_on) if link.due else "—",
                "—" if link.age_days is None else f"{link.age_days} d",
                str(link.due.due_on) if link.due and link.due.due_on else "—",
                ", ".join(one.id[:8] for one in link.in_force.values()) or "—",
            )
            for link in links
        ],
    )
    for link in links:
        for sentence in link.sentences:
            typer.echo(
                f"\n{sentence if sentence.startswith(link.link) else f'{link.link}: {sentence}'}"
            )


def _document(link: "LinkHealth") -> dict[str, object]:
    return {
        "link": link.link,
        "health": link.health.value,
        "trusted": link.trusted,
        "calibrated_on": str(link.due.calibrated_on) if link.due else None,
        "due_on": str(link.due.due_on) if link.due and link.due.due_on else None,
        "age_days": link.age_days,
        "in_force": {quantity: one.id for quantity, one in link.in_force.items()},
        "drift": {quantity: _drift(found) for quantity, found in link.drift.items()},
        "sentences": list(link.sentences),
    }


def _drift(found: "Drift") -> dict[str, object]:
    limits = found.limits
    return {
        "unit": "dB",
        "change": found.change,
        "change_allowed": found.change_allowed,
        "control_limits": None if limits is None else [limits.lower, limits.upper],
        "out_of_control": found.out_of_control,
        "per_year": found.per_year if math.isfinite(found.per_year) else None,
        "per_year_uncertainty": found.per_year_uncertainty
        if math.isfinite(found.per_year_uncertainty)
        else None,
    }
