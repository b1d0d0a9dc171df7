"""``dustcap box vented``: by volume and tuning, by its vents, or by the alignment that fits."""

from dataclasses import dataclass, replace
from enum import Enum
from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.box import options
from app.cli.option_groups import with_groups
from app.errors import BadInputError

if TYPE_CHECKING:
    from dsp.acoustic.air import Air
    from dsp.box.enclosure import VentedBox
    from dsp.box.unit import BoxUnit
    from dsp.box.vent import Vent


class Low(Enum):
    """Alignments for a Qts below that of a Butterworth response."""

    QB3 = "QB3"
    SC4 = "SC4"


class End(Enum):
    """What a vent's end opens into."""

    FLANGED = "flanged"
    FREE = "free"


@with_groups
def vented(
    volume_l: Annotated[
        float | None, typer.Option(min=0, help="l; or else the alignment for Qts chooses it.")
    ] = None,
    tuning_hz: Annotated[
        float | None, typer.Option(min=0, help="Hz; or else the vents or the alignment.")
    ] = None,
    low: Annotated[Low, typer.Option(help="Alignment where Qts is low.")] = Low.QB3,
    vent_cm2: Annotated[
        float | None, typer.Option(min=0, help="cm² of one vent; its length is then told.")
    ] = None,
    vents: Annotated[int, typer.Option(min=1, help="How many equal ones.")] = 1,
    vent_mm: Annotated[
        float | None, typer.Option(min=0, help="mm, length as cut; tunes a box of known volume.")
    ] = None,
    outside: Annotated[End, typer.Option(help="What the outer end opens into.")] = End.FLANGED,
    inside: Annotated[End, typer.Option(help="What the inner end opens into.")] = End.FREE,
    q_leakage: Annotated[float, typer.Option(min=0, help="Of leaks, at the tuning.")] = 7.0,
    q_absorption: Annotated[
        float, typer.Option(min=0, help="Of the filling, at the tuning; inf: none.")
    ] = float("inf"),
    q_vent: Annotated[
        float, typer.Option(min=0, help="Of friction in the vents; inf: none.")
    ] = float("inf"),
    *,
    typed: options.Typed,
    asked: options.Asked,
) -> int:
    """Predict a unit in a vented box from its small-signal parameters."""
    from app.cli.box.task import answer

    wanted = _Wanted(
        volume_l=volume_l,
        tuning_hz=tuning_hz,
        low=low,
        vent_cm2=vent_cm2,
        vents=vents,
        vent_mm=vent_mm,
        outside=outside,
        inside=inside,
        q_leakage=q_leakage,
        source_ohm=asked.source_ohm,
    )
    _check(wanted)
    return answer(
        typed,
        asked=asked,
        box_for=lambda unit, air: replace(
            _box(wanted, unit=unit, air=air), q_absorption=q_absorption, q_vent=q_vent
        ),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wanted:
    volume_l: float | None
    tuning_hz: float | None
    low: Low
    vent_cm2: float | None
    vents: int
    vent_mm: float | None
    outside: End
    inside: End
    q_leakage: float
    source_ohm: float


def _check(wanted: _Wanted) -> None:
    if wanted.vent_mm is not None and wanted.vent_cm2 is None:
        raise BadInputError("--vent-mm", "stands without --vent-cm2", allowed="both")
    if wanted.vent_mm is not None and wanted.tuning_hz is not None:
        raise BadInputError("--vent-mm", "stands beside --tuning-hz", allowed="one of the two")
    tuned = wanted.tuning_hz is not None or wanted.vent_mm is not None
    if tuned != (wanted.volume_l is not None):
        raise BadInputError(
            "--volume-l",
            "volume and tuning go together",
            allowed="--volume-l with --tuning-hz or --vent-mm; or none of them, for an alignment",
        )


def _box(wanted: _Wanted, *, unit: "BoxUnit", air: "Air") -> "VentedBox":
    from dsp.box.enclosure import VentedBox, with_vent
    from dsp.box.vent import cut_for
    from dsp.box.vented_alignment import vented_for

    vent = _vent(wanted)
    if wanted.volume_l is None:
        box = vented_for(
            unit,
            q_leakage=wanted.q_leakage,
            low_family=wanted.low.value,
            source_ohm=wanted.source_ohm,
        )
    elif wanted.tuning_hz is not None:
        box = VentedBox(
            volume_m3=1e-3 * wanted.volume_l,
            tuning_hz=wanted.tuning_hz,
            q_leakage=wanted.q_leakage,
        )
    elif vent is not None:
        return with_vent(
            volume_m3=1e-3 * wanted.volume_l, vent=vent, air=air, q_leakage=wanted.q_leakage
        )
    if vent is not None:
        vent = cut_for(vent, volume_m3=box.volume_m3, tuning_hz=box.tuning_hz, air=air)
    return replace(box, vent=vent)


def _vent(wanted: _Wanted) -> "Vent | None":
    from dsp.box.vent import Vent

    if wanted.vent_cm2 is None:
        return None
    return Vent(
        area_m2=1e-4 * wanted.vent_cm2,
        count=wanted.vents,
        length_m=None if wanted.vent_mm is None else 1e-3 * wanted.vent_mm,
        outside=wanted.outside.value,
        inside=wanted.inside.value,
    )
