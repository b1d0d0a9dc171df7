"""``dustcap box closed``: by its volume, or by the quality factor that it is to give."""

from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.box import options
from app.cli.option_groups import with_groups
from app.errors import BadInputError

if TYPE_CHECKING:
    from dsp.acoustic.air import Air
    from dsp.box.enclosure import Box
    from dsp.box.unit import BoxUnit

_FLATTEST = 0.5**0.5


@with_groups
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
    *,
    typed: options.Typed,
    asked: options.Asked,
) -> int:
    """Predict a unit in a closed box from its small-signal parameters."""
    from app.cli.box.task import answer

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
        return closed_for_qtc(unit, qtc=qtc or _FLATTEST, losses=like, source_ohm=asked.source_ohm)

    return answer(
        typed,
        asked=asked,
        box_for=box_for,
    )
