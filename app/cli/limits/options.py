"""Options that several commands about limits have."""

from typing import Annotated

import typer

Store = Annotated[str | None, typer.Option(help="Store, file or URL; otherwise your own.")]
Json = Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")]
By = Annotated[str, typer.Option(help="Who signs.")]
Why = Annotated[str, typer.Option(help="For what reason.")]
RevisionArgument = Annotated[
    str, typer.Argument(metavar="SET@N", help="Revision N of a set in the store.")
]
LimitsArgument = Annotated[
    str, typer.Argument(help="File of limits (TOML or CSV), or SET@N: a revision in the store.")
]
