"""Options that every link has."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

Chain = Annotated[Path, typer.Option(help="Chain file; written only if the result is accepted.")]
Captures = Annotated[
    list[Path] | None,
    typer.Option("--capture", help="Recording; again for each further one. Otherwise live."),
]
PressureKpa = Annotated[
    float | None, typer.Option(help="kPa, static, at the microphone; not reduced to sea level.")
]
TemperatureC = Annotated[float | None, typer.Option(help="°C; otherwise the chain's.")]
HumidityPercent = Annotated[float | None, typer.Option(help="%; otherwise the chain's.")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """What the link is held against, and to what end."""

    serial: Annotated[str, typer.Option(help="Number engraved on the instrument.")] = ""
    certificate: Annotated[str, typer.Option(help="Number of the instrument's certificate.")] = ""
    due: Annotated[
        datetime | None,
        typer.Option(formats=["%Y-%m-%d"], help="Day from which that certificate no longer holds."),
    ] = None
    check: Annotated[
        bool, typer.Option("--check", help="Only see whether the chain's value still holds.")
    ] = False
    exchanged: Annotated[
        bool,
        typer.Option(
            "--exchanged",
            help="Something of the link is new or was adjusted: history does not bind.",
        ),
    ] = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """Who did it, and where it is kept."""

    operator: Annotated[
        str | None, typer.Option(help="Who does it; otherwise the person logged in.")
    ] = None
    note: Annotated[str, typer.Option(help="Kept with the record, in your own words.")] = ""
    store: Annotated[str | None, typer.Option(help="Store, file or URL; otherwise your own.")] = (
        None
    )
    out: Annotated[Path | None, typer.Option(help="Folder for the certificate page.")] = None
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False
