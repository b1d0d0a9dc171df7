"""Options that every link has."""

from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

Chain = Annotated[Path, typer.Option(help="Chain file; written only if the result is accepted.")]
Captures = Annotated[
    list[Path] | None,
    typer.Option("--capture", help="Recording; again for each further one. Otherwise live."),
]
Operator = Annotated[str | None, typer.Option(help="Who does it; otherwise the person logged in.")]
Serial = Annotated[str, typer.Option(help="Number engraved on the instrument.")]
Certificate = Annotated[str, typer.Option(help="Number of the instrument's certificate.")]
Due = Annotated[
    datetime | None,
    typer.Option(formats=["%Y-%m-%d"], help="Day from which that certificate no longer holds."),
]
PressureKpa = Annotated[
    float | None, typer.Option(help="kPa, static, at the microphone; not reduced to sea level.")
]
TemperatureC = Annotated[float | None, typer.Option(help="°C; otherwise the chain's.")]
HumidityPercent = Annotated[float | None, typer.Option(help="%; otherwise the chain's.")]
Check = Annotated[
    bool, typer.Option("--check", help="Only see whether the chain's value still holds.")
]
Exchanged = Annotated[
    bool,
    typer.Option(
        "--exchanged", help="Something of the link is new or was adjusted: history does not bind."
    ),
]
Note = Annotated[str, typer.Option(help="Kept with the record, in your own words.")]
Store = Annotated[str | None, typer.Option(help="Store, file or URL; otherwise your own.")]
Out = Annotated[Path | None, typer.Option(help="Folder for the certificate page.")]
AsJson = Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")]
