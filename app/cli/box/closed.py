"""``dustcap box closed``: by its volume, or by the quality factor that it is to give."""

from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.box import options
from app.errors import BadInputError

if TYPE_CHECKING:
    from dsp.acoustic.air import Air
    from dsp.box.enclosure import Box
    from dsp.box.unit import BoxUnit

_FLATTEST = 0.5**0.5


def closed(
    volume_l: Annotated[
        float | None, typer.Option(min=0, help="l; or else --qtc chooses it.")
    ] = None,
    qtc: Annotated[
        float | None,
        typer.Option(min=0, help="Total quality factor to be had; 0.707, the flattest."),
    ] = None,
    q_leakage: Annotated[
        float, typer.Option(min=0, help="Of its leaks, at resonance; inf: none.")
    ] = float("inf"),
    q_absorption: Annotated[
        float, typer.Option(min=0, help="Of its filling, at resonance; inf: none.")
    ] = float("inf"),
    take: options.Take = None,
    store: options.Store = None,
    fs_hz: options.FsHz = None,
    qms: options.Qms = None,
    qes: options.Qes = None,
    vas_l: options.VasL = None,
    sd_cm2: options.SdCm2 = None,
    re_ohm: options.ReOhm = None,
    le_mh: options.LeMh = None,
    xmax_mm: options.XmaxMm = None,
    rated_power_w: options.RatedPowerW = None,
    nominal_ohm: options.NominalOhm = None,
    source_ohm: options.SourceOhm = 0.0,
    volts: options.Volts = 2.83,
    watts: options.Watts = 1.0,
    distance_m: options.DistanceM = 1.0,
    temperature_c: options.TemperatureC = None,
    pressure_kpa: options.PressureKpa = None,
    humidity_percent: options.HumidityPercent = None,
    out: options.Out = None,
    as_json: options.AsJson = False,
) -> int:
    """Predict a unit in a closed box from its small-signal parameters."""
    from app.cli.box.task import Asked, answer
    from app.cli.box.typed import typed_of

    if volume_l is not None and qtc is not None:
        raise BadInputError("--volume-l", "stands beside --qtc", allowed="one of the two")

    def box_for(unit: "BoxUnit", air: "Air") -> "Box":  # noqa: ARG001  a vent would ask for it
        from dsp.box.closed_alignment import closed_for_qtc
        from dsp.box.enclosure import ClosedBox

        like = ClosedBox(
            volume_m3=1.0 if volume_l is None else 1e-3 * volume_l,
            q_leakage=q_leakage,
            q_absorption=q_absorption,
        )
        if volume_l is not None:
            return like
        return closed_for_qtc(unit, qtc=qtc or _FLATTEST, losses=like, source_ohm=source_ohm)

    return answer(
        typed_of(
            fs_hz=fs_hz,
            qms=qms,
            qes=qes,
            vas_l=vas_l,
            sd_cm2=sd_cm2,
            re_ohm=re_ohm,
            le_mh=le_mh,
            xmax_mm=xmax_mm,
            rated_power_w=rated_power_w,
        ),
        asked=Asked(
            take=take,
            store=store,
            nominal_ohm=nominal_ohm,
            source_ohm=source_ohm,
            volts=volts,
            watts=watts,
            distance_m=distance_m,
            temperature_c=temperature_c,
            pressure_kpa=pressure_kpa,
            humidity_percent=humidity_percent,
            out=out,
            as_json=as_json,
        ),
        box_for=box_for,
    )
