"""Options that every kind of box has."""

from pathlib import Path
from typing import Annotated

import typer

_FROM = "otherwise the take's"

Take = Annotated[
    str | None, typer.Option(help="Id of a take that found the parameters, or its first digits.")
]
Store = Annotated[str | None, typer.Option(help="Store, file or URL; otherwise your own.")]
FsHz = Annotated[float | None, typer.Option(min=0, help=f"Hz, resonance; {_FROM}.")]
Qms = Annotated[float | None, typer.Option(min=0, help=f"Mechanical quality factor; {_FROM}.")]
Qes = Annotated[float | None, typer.Option(min=0, help=f"Electrical quality factor; {_FROM}.")]
VasL = Annotated[
    float | None, typer.Option(min=0, help=f"l, volume as compliant as the suspension; {_FROM}.")
]
SdCm2 = Annotated[
    float | None, typer.Option(min=0, help=f"cm², half of the surround included; {_FROM}.")
]
ReOhm = Annotated[float | None, typer.Option(min=0, help=f"ohm, of the coil; {_FROM}.")]
LeMh = Annotated[float | None, typer.Option(min=0, help=f"mH, of the coil; {_FROM}, or none.")]
XmaxMm = Annotated[
    float | None, typer.Option(min=0, help="mm, peak, one way; tells the most that it gives.")
]
RatedPowerW = Annotated[
    float | None, typer.Option(min=0, help="W that the unit is rated for; likewise.")
]
NominalOhm = Annotated[
    float | None,
    typer.Option(min=0, help="ohm that watts are counted in; otherwise the coil's resistance."),
]
SourceOhm = Annotated[float, typer.Option(min=0, help="ohm of amplifier and leads, in series.")]
Volts = Annotated[float, typer.Option("--volts", min=0, help="V rms that the level is for.")]
Watts = Annotated[
    float, typer.Option("--watts", min=0, help="W that excursion and air speed are for.")
]
DistanceM = Annotated[float, typer.Option(min=0, help="m, on the axis in half space.")]
TemperatureC = Annotated[float | None, typer.Option(help="°C; otherwise the take's, or 23.")]
PressureKpa = Annotated[float | None, typer.Option(help="kPa; otherwise the take's, or 101.325.")]
HumidityPercent = Annotated[float | None, typer.Option(help="%; otherwise the take's, or 50.")]
Out = Annotated[Path | None, typer.Option(help="Folder for picture, tables and JSON.")]
AsJson = Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")]
