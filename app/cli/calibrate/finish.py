"""From recordings to the printed result: what every link does once it was recorded."""

from contextlib import ExitStack
from typing import TYPE_CHECKING

from app.cli.calibrate.table import print_calibration
from app.cli.exits import Exit
from app.cli.output import print_json
from app.report.print_certificate import print_certificate

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from app.calibrate.asked import Asked, Method
    from app.cli.calibrate import options
    from hardware.card import Capture
    from hardware.chain.snapshot import ChainSnapshot


def finish(
    method: "Method",
    captures: "Sequence[Capture]",
    *,
    link: str,
    asked: "Asked",
    chain: "ChainSnapshot",
    chain_file: "Path",
    kept: "options.Kept",
) -> int:
    """Compute, keep, write the chain file where it was accepted, and print."""
    from app.calibrate.run import calibrate
    from app.records.store import Store
    from app.report.calibration_document import calibration_document

    with ExitStack() as held:
        records = held.enter_context(Store.open(kept.store))
        done = calibrate(
            method,
            captures,
            link=link,
            asked=asked,
            chain=chain,
            chain_file=chain_file,
            store=records,
        )
        pages = print_certificate(done.record, store=records, folder=kept.out) if kept.out else ()
    if kept.as_json:
        print_json(calibration_document(done.record) | {"files": [str(page) for page in pages]})
    else:
        print_calibration(done.record, pages=pages)
    return Exit.WELL if done.record.accepted else Exit.DOES_NOT_CONFORM
