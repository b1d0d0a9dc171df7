"""``dustcap limits paste``: a table of a customer's specification becomes a file of limits."""

import sys
from pathlib import Path
from typing import Annotated

import typer

from app.cli.exits import say
from app.cli.limits.options import Json
from app.cli.limits.table import masks_document, print_masks
from app.cli.output import print_json
from app.errors import BadInputError


def paste(
    quantity: Annotated[str, typer.Option(help="The curve that the limits are for.")],
    table: Annotated[
        str, typer.Argument(help="Text file with the table; - for what is pasted on stdin.")
    ] = "-",
    out: Annotated[Path | None, typer.Option(help="File of limits to write, .toml.")] = None,
    mask: Annotated[str, typer.Option(help="Name of the mask; otherwise the quantity's.")] = "",
    columns: Annotated[
        str,
        typer.Option(
            help="What the columns are, with commas, where their heads do not tell: frequency, "
            "upper, lower, nominal, plus_minus, plus, minus, unused."
        ),
    ] = "",
    relative: Annotated[
        bool, typer.Option("--relative", help="The limits count from the reference unit.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Read limits over frequency from a table, with tabs, semicolons or commas, in Hz or kHz."""
    from app.procedure.limit_set import LimitSet, save_limit_set
    from app.procedure.limit_table import read_limit_table

    found = read_limit_table(
        _text(table),
        quantity=quantity,
        columns=tuple(one.strip() for one in columns.split(",")) if columns else (),
        relative=relative,
    )
    masks = {mask or quantity: found.mask}
    if out is not None:
        save_limit_set(LimitSet(masks=masks), out)
    if as_json:
        print_json({"masks": masks_document(masks), "read_as": list(found.remarks)})
        return
    print_masks(masks)
    for remark in found.remarks:
        say(f"read as {remark}")


def _text(table: str) -> str:
    if table == "-":
        return sys.stdin.read()
    try:
        return Path(table).read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        reason = getattr(error, "strerror", None) or "not UTF-8"
        raise BadInputError(table, f"cannot be read: {reason.lower()}") from error
