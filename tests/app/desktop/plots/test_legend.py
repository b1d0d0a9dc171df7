"""The head of a plot says each curve's figure at the cursor, rounded to its interval."""

import numpy as np
import pytest

from app.desktop.plots.legend import entries, fitting, lost_a_figure, readout
from app.desktop.plots.line import LineRole, PlotLine
from app.desktop.plots.mask import PlotMask

HZ = np.array([100.0, 1000.0, 10_000.0])
ROOM_FOR_ONE = 100.0


def line(name: str, role: LineRole, *, unit: str = "", interval: float | None = None) -> PlotLine:
    half = None if interval is None else np.full(3, interval)
    y = np.array([80.0, 87.63, 70.0])
    return PlotLine(name=name, x=HZ, y=y, role=role, interval=half, unit=unit)


def limit() -> PlotMask:
    return PlotMask(name="level", sense="upper", hz=HZ, values=np.ones(3))


def kept_names(width: float) -> list[str]:
    made = entries(
        [
            line("take 42", LineRole.TAKE),
            line("phase", LineRole.PHASE),
            line("37", LineRole.OVERLAY),
            line("36", LineRole.OVERLAY),
            line("reference", LineRole.REFERENCE),
        ],
        masks=[limit()],
        at=1000.0,
    )
    kept = fitting(made, widths=[ROOM_FOR_ONE] * len(made), room=width)
    return [made[index].name for index in kept]


def test_a_figure_is_as_wide_as_its_interval() -> None:
    assert readout(line("take 42", LineRole.TAKE, interval=0.31), 1000.0) == "87.6 ±0.3"


def test_a_figure_between_points_is_straight_over_log_frequency() -> None:
    # Half-way between 100 Hz and 1 kHz on the axis is 316.2 Hz.
    assert line("a", LineRole.TAKE).at(10**2.5) == pytest.approx((80.0 + 87.63) / 2)


def test_an_angle_has_its_sign() -> None:
    assert readout(line("phase", LineRole.PHASE, unit="°"), 100.0) == "+80.0°"


def test_where_a_curve_ends_it_says_nothing() -> None:
    assert readout(line("take 42", LineRole.TAKE), 50.0) == ""


def test_without_a_cursor_there_are_only_names() -> None:
    made = entries([line("take 42", LineRole.TAKE)], masks=[limit(), limit()])
    assert [(entry.name, entry.value) for entry in made] == [("take 42", ""), ("mask", "")]


def test_a_draft_is_named_beside_the_last_revision() -> None:
    draft = PlotMask(
        name="level", sense="upper", hz=HZ, values=np.ones(3), draft=True, old=(HZ, np.zeros(3))
    )
    assert [entry.name for entry in entries([], masks=[draft])] == ["draft", "before"]


def test_too_many_entries_lose_the_mask_then_phase_then_the_oldest_overlay() -> None:
    everything = ["take 42", "phase", "37", "36", "reference", "mask"]
    assert kept_names(600) == everything
    assert kept_names(599) == ["take 42", "phase", "37", "36", "reference"]
    assert kept_names(499) == ["take 42", "37", "36", "reference"]
    assert kept_names(399) == ["take 42", "37", "reference"]


def test_the_unit_gives_way_to_a_figure_but_not_to_a_mask() -> None:
    made = entries([line("take 42", LineRole.TAKE)], masks=[limit()])
    assert not lost_a_figure(made, [0, 1], [0])
    assert lost_a_figure(made, [0, 1], [])


def test_where_noise_hides_a_curve_there_is_a_dash_and_where_it_still_grows_nothing() -> None:
    hidden = PlotLine(name="THD", x=HZ, y=np.full(3, np.nan), role=LineRole.THD)
    growing = PlotLine(name="take 43", x=HZ[:1], y=np.ones(1), role=LineRole.LIVE)
    made = entries([hidden], live=[growing], at=1000.0)
    assert [(entry.name, entry.value) for entry in made] == [("take 43", ""), ("THD", "–")]
