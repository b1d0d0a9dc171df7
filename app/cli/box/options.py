"""Options that every kind of box has."""

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

_FROM = "otherwise the take's"


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """Parameters of the unit, in the trade's units; None where the take or nobody tells them."""

    fs_hz: Annotated[float | None, typer.Option(min=0, help=f"Hz, resonance; {_FROM}.")] = None
    qms: Annotated[
        float | None, typer.Option(min=0, help=f"Mechanical quality factor; {_FROM}.")
    ] = None
    qes: Annotated[
        float | None, typer.Option(min=0, help=f"Electrical quality factor; {_FROM}.")
    ] = None
    vas_l: Annotated[
        float | None,
        typer.Option(min=0, help=f"l, volume as compliant as the suspension; {_FROM}."),
    ] = None
    sd_cm2: Annotated[
        float | None, typer.Option(min=0, help=f"cm², half of the surround included; {_FROM}.")
    ] = None
    re_ohm: Annotated[float | None, typer.Option(min=0, help=f"ohm, of the coil; {_FROM}.")] = None
    le_mh: Annotated[
        float | None, typer.Option(min=0, help=f"mH, of the coil; {_FROM}, or none.")
    ] = None
    xmax_mm: Annotated[
        float | None, typer.Option(min=0, help="mm, peak, one way; tells the most that it gives.")
    ] = None
    rated_power_w: Annotated[
        float | None, typer.Option(min=0, help="W that the unit is rated for; likewise.")
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Where the unit's parameters come from, how it is driven and heard, and what is left of it."""

    take: Annotated[
        str | None,
        typer.Option(help="Id of a take that found the parameters, or its first digits."),
    ] = None
    store: Annotated[str | None, typer.Option(help="Store, file or URL; otherwise your own.")] = (
        None
    )
    nominal_ohm: Annotated[
        float | None,
        typer.Option(min=0, help="ohm that watts are counted in; otherwise the coil's resistance."),
    ] = None
    source_ohm: Annotated[
        float, typer.Option(min=0, help="ohm of amplifier and leads, in series.")
    ] = 0.0
    volts: Annotated[float, typer.Option("--volts", min=0, help="V rms that the level is for.")] = (
        2.83
    )
    watts: Annotated[
        float, typer.Option("--watts", min=0, help="W that excursion and air speed are for.")
    ] = 1.0
    distance_m: Annotated[float, typer.Option(min=0, help="m, on the axis in half space.")] = 1.0
    temperature_c: Annotated[
        float | None, typer.Option(help="°C; otherwise the take's, or 23.")
    ] = None
    pressure_kpa: Annotated[
        float | None, typer.Option(help="kPa; otherwise the take's, or 101.325.")
    ] = None
    humidity_percent: Annotated[
        float | None, typer.Option(help="%; otherwise the take's, or 50.")
    ] = None
    out: Annotated[Path | None, typer.Option(help="Folder for picture, tables and JSON.")] = None
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False
