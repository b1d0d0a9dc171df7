"""A calibration for a person: result, budget, checks, and what became of it."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from app.cli.output import print_table

if TYPE_CHECKING:  # slow to import
    from app.records.calibration_record import CalibrationRecord


def print_calibration(record: "CalibrationRecord", *, pages: Sequence[Path]) -> None:
    """Print result, budget and checks, and say what the chain file stands at."""
    from app.records.calibration_record import Purpose
    from app.report.calibration_text import budget_rows, result_text

    mark, word = ("●", "accepted") if record.accepted else ("■", "refused")
    typer.echo(f"{mark} {record.link}: {record.purpose.value} {word}  ({record.chain.chain.name})")
    for result in record.results:
        name = f"{result.quantity}: " if len(record.results) > 1 else ""
        typer.echo(f"  {name}{result_text(result)}")
    for reason in record.reasons:
        typer.echo(f"  {reason}")
    typer.echo()
    first = record.results[0]
    print_table(
        ("source", "type", "u (k = 1)", "unit", f"contributes, {first.budget.unit}"),
        budget_rows(first),
    )
    typer.echo()
    print_table(
        ("check", "", "found"),
        [
            (check.name, "passed" if check.passed else "failed", check.sentence)
            for check in record.checks
        ],
    )
    for remark in record.remarks:
        typer.echo(f"Mind: {remark}")
    typer.echo()
    quantities = [result.quantity for result in record.results]
    if record.purpose is Purpose.CHECK:
        typer.echo("A check: the chain file stays as it is.")
    elif record.accepted and not any(one in record.holds_while for one in quantities):
        typer.echo("Kept; the chain file has no key for it.")
    elif record.accepted:
        typer.echo("Written into the chain file; measurements stand on it from now on.")
    else:
        typer.echo(
            "The chain file stays as it is. Takes are marked until a calibration is accepted."
        )
    typer.echo(f"Kept as calibration {record.id[:8]}.")
    for page in pages:
        typer.echo(str(page))
