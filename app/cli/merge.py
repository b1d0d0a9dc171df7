"""``dustcap merge``: near field and gated far field of one unit as one response."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.output import interval, print_json, print_table, value
from app.errors import BadInputError

if TYPE_CHECKING:  # slow to import
    from app.measure.merge_takes import MergedTakes


def merge(
    near: Annotated[str, typer.Argument(help="Take: near field of the diaphragm; id or digits.")],
    far: Annotated[str, typer.Argument(help="Take: far field, gated where a room reflects.")],
    vent: Annotated[
        str | None, typer.Option(help="Take: near field of a vent's mouth, to be added.")
    ] = None,
    from_hz: Annotated[
        float | None, typer.Option(min=0, help="Hz, where the crossover starts.")
    ] = None,
    to_hz: Annotated[float | None, typer.Option(min=0, help="Hz, where it ends.")] = None,
    store: Annotated[
        str | None, typer.Option(help="Store, file or URL; otherwise your own.")
    ] = None,
    keep: Annotated[
        bool, typer.Option("--keep", help="Keep the response in the store, as a take of its own.")
    ] = False,
    out: Annotated[Path | None, typer.Option(help="Folder for picture, tables and JSON.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False,
) -> None:
    """Merge a near field, scaled to the far field's distance, with a far field of the same unit."""
    from app.measure.keep_merged import keep_merged
    from app.measure.merge_takes import merge_takes
    from app.records.store import Store
    from app.report.merged_document import crossover_words, leave_merged, merged_document

    if (from_hz is None) != (to_hz is None):
        raise BadInputError("--from-hz", "stands without --to-hz", allowed="both, or neither")
    asked = None if from_hz is None or to_hz is None else (from_hz, to_hz)
    with Store.open(store, must_exist=True) as records:
        close, distant = records.take(near), records.take(far)
        mouth = records.take(vent) if vent else None
        found = merge_takes(close, far=distant, vent=mouth, asked_hz=asked)
        kept = keep_merged(found, store=records).id if keep else None
    words = crossover_words(found.merged)
    document = {"id": kept} | _document(found) | merged_document(found.merged)
    files: tuple[Path, ...] = ()
    if out:
        files = leave_merged(
            found.merged,
            parts=found.parts,
            document=document,
            words=f"{found.unit or 'unit'} · takes {close.id[:8]}, {distant.id[:8]} · {words}",
            folder=out,
        )
    if as_json:
        print_json(document | {"files": [str(file) for file in files]})
        return
    typer.echo(f"{found.unit or 'unit'}: {words}")
    _print(found)
    if kept:
        typer.echo(f"\nkept as take {kept[:8]}")
    for file in files:
        typer.echo(str(file))


def _document(found: "MergedTakes") -> dict[str, object]:
    return {
        "unit": found.unit,
        "lot": found.lot,
        "near": found.near,
        "far": found.far,
        "vent": found.vent,
        "warnings": list(found.warnings),
        "low_ends": [{"of": end.of, "reason": end.reason, "hz": end.hz} for end in found.low_ends],
    }


def _print(found: "MergedTakes") -> None:
    typer.echo()
    print_table(
        ("number", "value", "± (k = 2)", "unit", "how"),
        [
            (name, value(number), interval(number), number.unit, number.reason or number.how)
            for name, number in found.merged.numbers.items()
        ],
    )
    typer.echo()
    print_table(
        ("holds from", "because of", "of"),
        [(f"{end.hz:.4g} Hz", end.reason, end.of) for end in found.low_ends],
    )
    for warning in found.warnings:
        typer.echo(f"\nwarning: {warning}")
