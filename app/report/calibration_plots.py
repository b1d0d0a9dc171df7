"""Plots of a calibration: the level of each coupling over time, and the value over the years."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from app.records.calibration_record import CalibrationRecord, Purpose
from app.report.axes import head, legend
from app.report.ink import BAD, BAND_ALPHA, GRID, INK2, INK3, TAKE
from dsp.acoustic.level import DB_PER_NEPER
from dsp.calibration.drift import LEAST_FOR_LIMITS, control_limits
from dsp.calibration.in_unit import per_budget_unit
from dsp.calibration.instrument import CLASS_LIMITS
from dsp.calibration.microphone_limits import MicrophoneLimits
from dsp.calibration.reading import MicrophoneReading, read_coupling
from hardware.card import Capture

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_STYLES = ("-", (0, (5, 3)), (0, (1, 1.5)), (0, (5, 2, 1, 2)))
_SHOWN_DB = 0.5  # above and below the settled level, at the least


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Evidence:
    """What a certificate's plots are drawn from.

    Attributes
    ----------
    readings : tuple of MicrophoneReading
        Of the couplings; empty where the link has none.
    history : tuple of CalibrationRecord
        Of the same quantity, the calibration itself included, the oldest first.
    """

    readings: tuple[MicrophoneReading, ...] = ()
    history: tuple[CalibrationRecord, ...] = ()


def evidence(
    record: CalibrationRecord,
    *,
    captures: Sequence[Capture],
    history: Sequence[CalibrationRecord],
) -> Evidence:
    """Read the recordings of a calibration once more, and choose what its value is held beside.

    Parameters
    ----------
    record : CalibrationRecord
        As kept.
    captures : sequence of Capture
        Its recordings.
    history : sequence of CalibrationRecord
        Of the same link, in any order.
    """
    beside = [
        one
        for one in history
        if one.quantity == record.quantity
        and one.purpose is Purpose.CALIBRATION
        and one.made_utc <= record.made_utc
        and one.accepted
        and one.id != record.id
    ]
    own = [record] if record.purpose is Purpose.CALIBRATION else []
    return Evidence(
        # A check by a reference unit is of the same quantity, and hears no instrument.
        readings=_readings(record, captures=captures) if "accuracy_class" in record.given else (),
        history=tuple(sorted([*beside, *own], key=lambda one: one.made_utc)),
    )


def draw_couplings(axis: "Axes", readings: Sequence[MicrophoneReading]) -> None:
    """Draw the level at the microphone over time; thick where it was read."""
    head(axis, "Level at the microphone", "dB re 1 V")
    levels = [20 * math.log10(one.voltage_v) for one in readings]
    for at, one in enumerate(readings):
        style = _STYLES[at % len(_STYLES)]
        start, stop = one.settled_s
        inside = (one.trace_s >= start) & (one.trace_s <= stop)
        axis.plot(one.trace_s, one.trace_db, color=INK3, linewidth=0.6)
        axis.plot(
            one.trace_s[inside],
            one.trace_db[inside],
            color=TAKE,
            linestyle=style,
            linewidth=1.6,
            label=f"coupling {at + 1}" if len(readings) > 1 else "read",
        )
    axis.set_ylim(min(levels) - _SHOWN_DB, max(levels) + _SHOWN_DB)
    axis.set_xlabel("s", fontsize=7.5, color=INK2)
    axis.grid(visible=True, color=GRID, linewidth=0.7)
    axis.set_axisbelow(True)
    legend(axis)


def draw_history(axis: "Axes", history: Sequence[CalibrationRecord]) -> None:
    """Draw values with their intervals over days, and the control limits of all but the last."""
    results = [one.results[0] for one in history]
    first = results[0].value
    values = [20 * math.log10(one.value / first) for one in results]
    expanded = [
        one.budget.expanded * per_budget_unit(one) / abs(one.value) * DB_PER_NEPER
        for one in results
    ]
    head(axis, f"History of {history[0].quantity}", "dB re the first one shown")
    days = [one.made_utc.date() for one in history]
    for day, value, half, record in zip(days, values, expanded, history, strict=True):
        color = TAKE if record.accepted else BAD
        axis.errorbar(
            np.asarray([day], dtype="datetime64[D]"),
            [value],
            yerr=[half],
            color=color,
            marker="o" if record.accepted else "s",
            markersize=3.5,
            linewidth=0.9,
            capsize=2,
        )
    if len(values) > LEAST_FOR_LIMITS:
        limits = control_limits(values[:-1])
        axis.axhspan(limits.lower, limits.upper, color=TAKE, alpha=BAND_ALPHA / 2, linewidth=0)
        axis.axhline(limits.centre, color=INK2, linewidth=0.7)
    axis.grid(visible=True, color=GRID, linewidth=0.7)
    axis.set_axisbelow(True)
    for label in axis.get_xticklabels():
        label.set_rotation(20)


def _readings(
    record: CalibrationRecord, *, captures: Sequence[Capture]
) -> tuple[MicrophoneReading, ...]:
    wired, given = record.chain.chain.input.pressure, record.given
    if wired is None:
        return ()
    volt = wired.full_scale_v / wired.preamplifier_gain
    named = str(given["accuracy_class"])
    limits = next(one for name, one in CLASS_LIMITS.items() if name == named)
    if certified := given.get("fluctuation_db"):
        limits = replace(limits, fluctuation_db=float(certified))
    return tuple(
        read_coupling(
            one.samples[:, min(wired.channel, one.samples.shape[1]) - 1].astype(np.float64),
            sample_rate_hz=one.sample_rate_hz,
            near_hz=float(given["frequency_hz"] or 0),
            volt=volt,
            within_db=limits.settled_within_db,
            least_s=MicrophoneLimits().least_settled_s,
        )
        for one in captures
    )
