"""A ladder of levels: what it will play, and parameters over the drive as plots and facts."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.presenters.figures import Fact, fact_of, minus, value_text
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_scene import PlotState
from app.desktop.presenters.measure_warnings import Said
from app.measure.ladder import Climbed
from dsp import Curve, Floats

HINT = "Press L: this unit is played at several levels, quietest first."
_ROLES = (LineRole.H5, LineRole.H4, LineRole.H3, LineRole.H2)
_LEAST_DB, _LEAST_PER_CENT = 1.0, 2.0
_HEADROOM = 1.2


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderState:
    """Four plots, facts and sentences."""

    compression: PlotState
    resonance: PlotState
    qts: PlotState
    ratios: PlotState
    drive: tuple[float, float]
    facts: tuple[Fact, ...] = ()
    said: tuple[Said, ...] = ()
    told: str = ""


def levels_words(volts: Sequence[float]) -> str:
    """Say which levels will be played."""
    listed = ", ".join(value_text(float(f"{one:.3g}")) for one in volts)
    return f"Plays {listed} V, quietest first. Esc stops, and what was kept stays."


def no_ladder(sentence: str = "") -> LadderState:
    """Present the places of the plots, and why nothing stands in them."""
    return LadderState(
        compression=PlotState(unit="dB", hint=HINT, y=(-3.0, 1.0)),
        resonance=PlotState(unit="Hz, over V", y=(50.0, 100.0)),
        qts=PlotState(unit="over V", y=(0.0, 1.0)),
        ratios=PlotState(unit="%, over V", y=(90.0, 110.0)),
        drive=(0.1, 10.0),
        said=(Said(sentence=sentence, mark=Mark.INFO),) if sentence else (),
    )


def ladder_state(climbed: Climbed) -> LadderState:
    """Present what a unit did on the way up."""
    found = climbed.parameters
    drive = found.drive_v
    fs, qts = found.at_rest
    return LadderState(
        compression=_compression(climbed),
        resonance=_over("fs", drive, found.fs_hz, half=2 * found.fs_standard_hz, unit="Hz, over V"),
        qts=_over("Qts", drive, found.qts, half=2 * found.qts_standard, unit="over V", decimals=3),
        ratios=_ratios(climbed),
        drive=(float(drive[0]) / 1.3, float(drive[-1]) * 1.3),
        facts=(
            fact_of("fs, no drive", fs.value, fs.uncertainty, unit="Hz", note=fs.how),
            fact_of("Qts, no drive", qts.value, qts.uncertainty, unit="", note=qts.how),
            Fact(
                name="small up to",
                value=value_text(float(f"{found.small_to_v:.3g}")) if found.small_to_v else "none",
                unit="V",
                note="fs and Qts stay within 1 % of those at no drive",
            ),
            *(_shift(volts, hz, rest=fs.value) for volts, hz in _pairs(drive, found.fs_hz)),
            Fact(
                name="coil, warmest",
                value=f"{float(np.max(found.coil_c)):.0f}",
                unit="°C",
                note="from Re against that of the quietest take, copper: a hint",
            ),
        ),
        said=tuple(
            Said(sentence=f"{one[:1].upper()}{one[1:]}. {_next(one)}", mark=Mark.INFO)
            for one in found.reasons
        )
        or (Said(sentence="All levels were small: parameters hold at each of them."),),
        told="takes " + ", ".join(map(str, climbed.numbers)),
    )


def _pairs(drive: Floats, hz: Floats) -> list[tuple[float, float]]:
    return list(zip(drive.tolist(), hz.tolist(), strict=True))


def _shift(volts: float, hz: float, *, rest: float) -> Fact:
    return Fact(
        name=f"fs at {value_text(float(f'{volts:.3g}'))} V",
        value=minus(f"{100 * (hz / rest - 1):+.2f}"),
        unit="%",
    )


def _next(reason: str) -> str:
    if "warmed" in reason:
        return "Next: let it cool for some minutes, then measure again."
    return "Next: take parameters at a level below that."


def _compression(climbed: Climbed) -> PlotState:
    curves = climbed.compression
    lines = [
        _line(volts, curve, last=number == len(curves) - 1, role=_ROLES[number % len(_ROLES)])
        for number, (volts, curve) in enumerate(curves.items())
    ]
    if not lines:
        hint = "Nothing here: these takes have no microphone."
        return PlotState(unit="dB", hint=hint, y=(-3.0, 1.0))
    held = [curve.value[curve.valid.holds(curve.frequency_hz)] for curve in curves.values()]
    known = np.concatenate(held)
    known = known[np.isfinite(known)]
    most = float(np.quantile(np.abs(known), 0.98)) if known.size else 0.0
    half = max(_LEAST_DB, float(np.ceil(_HEADROOM * most)))
    return PlotState(unit="dB", lines=tuple(lines), y=(-half, half))


def _line(volts: float, curve: Curve, *, last: bool, role: LineRole) -> PlotLine:
    return PlotLine(
        name=f"{value_text(float(f'{volts:.3g}'))} V",
        x=curve.frequency_hz,
        y=curve.value,
        role=LineRole.TAKE if last else role,
        valid=(curve.valid.low_hz, curve.valid.high_hz),
        decimals=2,
    )


def _over(
    name: str, drive: Floats, value: Floats, *, half: Floats, unit: str, decimals: int = 2
) -> PlotState:
    line = PlotLine(
        name=name, x=drive, y=value, role=LineRole.TAKE, interval=half, decimals=decimals
    )
    middle = float((value.max() + value.min()) / 2)
    wide = max(float(value.max() - value.min()), _LEAST_PER_CENT / 100 * middle) * _HEADROOM / 2
    return PlotState(unit=unit, lines=(line,), y=(middle - wide, middle + wide))


def _ratios(climbed: Climbed) -> PlotState:
    found = climbed.parameters
    lines = tuple(
        PlotLine(name=name, x=found.drive_v, y=100 * ratio, role=role, decimals=1)
        for name, ratio, role in (
            ("Cms", found.compliance_ratio, LineRole.TAKE),
            ("Bl", found.force_ratio, LineRole.H2),
        )
    )
    values = np.concatenate([line.y for line in lines])
    most = float(np.max(np.abs(values - 100)))
    half = max(_LEAST_PER_CENT, _HEADROOM * most)
    return PlotState(unit="%, over V", lines=lines, y=(100 - half, 100 + half))
