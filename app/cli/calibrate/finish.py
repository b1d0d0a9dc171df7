"""From recordings to the printed result: what every link does once it was recorded."""

from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from app.cli.calibrate.table import print_calibration
from app.cli.exits import Exit
from app.cli.output import print_json
from app.report.print_certificate import print_certificate

if TYPE_CHECKING:
    from collections.abc import Sequence

    from app.calibrate.asked import Asked, Method
    from hardware.card import Capture
    from hardware.chain.snapshot import ChainSnapshot


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where from and where to.

    Attributes
    ----------
    chain_file : Path
        Written if the result is accepted.
    store : str or None
        Where the record is kept; None for the person's own.
    out : Path or None
        Folder for the certificate page.
    as_json : bool
        One document instead of tables.
    """

    chain_file: Path
    store: str | None
    out: Path | None
    as_json: bool


def finish(
    method: "Method",
    captures: "Sequence[Capture]",
    *,
    link: str,
    asked: "Asked",
    chain: "ChainSnapshot",
    place: Place,
) -> int:
    """Compute, keep, write the chain file where it was accepted, and print."""
    from app.calibrate.run import calibrate
    from app.records.store import Store
    from app.report.calibration_document import calibration_document

    with ExitStack() as held:
        records = held.enter_context(Store.open(place.store))
        done = calibrate(
            method,
            captures,
            link=link,
            asked=asked,
            chain=chain,
            chain_file=place.chain_file,
            store=records,
        )
        pages = print_certificate(done.record, store=records, folder=place.out) if place.out else ()
    if place.as_json:
        print_json(calibration_document(done.record) | {"files": [str(page) for page in pages]})
    else:
        print_calibration(done.record, pages=pages)
    return Exit.WELL if done.record.accepted else Exit.DOES_NOT_CONFORM
