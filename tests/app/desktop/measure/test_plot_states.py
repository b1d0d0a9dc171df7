"""What stands in each plot of the Measure bay."""

from dataclasses import replace

import numpy as np
import pytest

from app.desktop.plots.line import LineRole
from app.desktop.presenters.measure_lines import Shown
from app.desktop.presenters.measure_plots import (
    distortion_plot,
    harmonics_plot,
    impedance_plot,
    level_impedance_plot,
    level_plot,
    phase_plot,
)
from app.desktop.presenters.measure_scene import Scene
from app.procedure.schema import Mask
from app.procedure.shipped import find_procedure
from tests.app.desktop.measure import made


def scene(*shown: Shown, **changes: object) -> Scene:
    masks = find_procedure("line-check").procedure.masks
    return Scene(shown=shown, level_unit="dB", **({"masks": masks} | changes))  # type: ignore[arg-type]  # as named


def good(slot: int | None = 0) -> Shown:
    return Shown(take=made.good().take, number=42, slot=slot)


def weak(slot: int | None = 1) -> Shown:
    return Shown(take=made.weak().take, number=37, slot=slot)


def test_colour_tells_the_take_and_style_the_quantity() -> None:
    state = level_plot(scene(good(), weak()))
    told = {line.name: (line.take, line.role) for line in state.lines}
    assert told["take 42"] == (1, LineRole.TAKE)
    assert told["37"] == (2, LineRole.OVERLAY)
    assert told["phase"] == (1, LineRole.PHASE)
    assert told["noise"][1] is LineRole.FLOOR
    assert not state.hint


def test_the_reference_is_drawn_in_ink_and_never_twice() -> None:
    both = level_plot(scene(good(), reference=weak(slot=None)))
    assert [line.take for line in both.lines if line.name == "reference"] == [0]
    twice = level_plot(scene(good(), reference=good(slot=None)))
    assert [line.name for line in twice.lines].count("reference") == 0


def test_before_any_take_masks_stand_and_a_hint_says_what_will_appear() -> None:
    for present in (level_plot, impedance_plot, distortion_plot):
        state = present(scene())
        assert state.masks
        assert state.hint
        assert not state.lines


def test_what_noise_hides_is_never_drawn_as_if_it_were_measured() -> None:
    curve = made.good().take.curves["thd"]
    assert curve.is_bound is not None
    assert curve.is_bound.any()
    lines = {line.name: line for line in distortion_plot(scene(good())).lines}
    assert np.isnan(lines["THD"].y[curve.is_bound]).all()
    told = np.isfinite(curve.value)  # beyond what the order can be read from there is nothing
    assert np.isfinite(lines["THD"].y[told & ~curve.is_bound]).all()
    assert np.isfinite(lines["floor"].y[told & curve.is_bound]).all()
    assert np.isnan(lines["floor"].y[~curve.is_bound]).all()


def test_distortion_in_per_cent_and_its_mask_stand_on_the_axis_of_decibels() -> None:
    state = distortion_plot(scene(good()))
    take = made.good().take
    line = next(line for line in state.lines if line.name == "THD")
    at = int(np.nanargmax(line.y))
    assert line.y[at] == pytest.approx(20 * np.log10(take.curves["thd"].value[at] / 100))
    mask = next(mask for mask in state.masks if mask.name == "thd")
    limit = take.procedure.masks["thd"].upper
    assert isinstance(limit, tuple)
    hz, percent = limit[0]
    assert mask.at(np.array([hz]))[0] == pytest.approx(20 * np.log10(percent / 100))
    # Straight in per cent between the points, so bent in decibels.
    (low, first), (high, second) = limit[0], limit[1]
    middle = np.sqrt(low * high)
    expected = 20 * np.log10((first + second) / 2 / 100)
    assert mask.at(np.array([middle]))[0] == pytest.approx(expected, abs=0.05)


def test_harmonics_stand_one_by_one() -> None:
    names = [line.name for line in harmonics_plot(scene(good())).lines]
    assert {"THD", "H2", "H3", "H4", "H5", "high"} <= set(names)


def test_each_mask_is_held_against_its_own_curve() -> None:
    masks = {mask.name: mask.broken_by for mask in distortion_plot(scene(good())).masks}
    assert masks["thd"] == ("THD",)
    assert masks["high_order"] == ("high",)


def test_what_was_not_judged_is_not_shown_as_broken() -> None:
    clipped = Shown(take=made.clipped().take, number=1, slot=0)
    assert {mask.broken_by for mask in level_plot(scene(clipped)).masks} == {()}


def test_where_masks_share_an_axis_each_says_which_it_is() -> None:
    notes = {note.words: note.hz for note in distortion_plot(scene(good())).notes}
    limits = find_procedure("line-check").procedure.masks
    for words, name in (("THD", "thd"), ("high order", "high_order")):
        upper = limits[name].upper
        assert isinstance(upper, tuple)
        assert notes[words] == upper[0][0]
    assert not level_plot(scene(good())).notes


def test_phase_lies_within_one_turn_and_jumps_are_no_lines() -> None:
    state = phase_plot(scene(good()))
    for line in state.lines:
        known = line.y[np.isfinite(line.y)]
        assert np.abs(known).max() <= 180
        both = np.isfinite(line.y[1:]) & np.isfinite(line.y[:-1])
        assert np.abs(np.diff(line.y))[both].max() <= 180


def test_level_and_impedance_on_two_axes() -> None:
    state = level_impedance_plot(scene(good()))
    sides = {line.name: line.right for line in state.lines}
    assert sides["take 42"] is False
    assert sides["Z"] is True
    assert {mask.name for mask in state.masks} == {"level"}


def test_a_difference_is_one_take_less_the_other_with_both_intervals() -> None:
    one, other = made.good().take.curves["level"], made.weak().take.curves["level"]
    state = level_plot(scene(good(), weak(), difference=True))
    (line,) = state.lines
    np.testing.assert_allclose(line.y, one.value - other.value, atol=1e-9)
    assert line.interval is not None
    assert one.uncertainty is not None
    assert other.uncertainty is not None
    # JCGM 100:2008, 5.1.2: of independent ones the squares add.
    np.testing.assert_allclose(line.interval, np.hypot(one.uncertainty, other.uncertainty))
    assert state.is_difference


def test_a_difference_needs_something_to_differ_from() -> None:
    state = level_plot(scene(good(), difference=True))
    assert not state.lines
    assert "1 to 4" in state.hint


def test_a_relative_mask_lies_about_the_reference() -> None:
    mask = Mask.model_validate(
        {
            "quantity": "level",
            "relative_to": "reference",
            "upper": [[100.0, 1.0], [1000.0, 1.0]],
        }
    )
    reference = weak(slot=None)
    state = level_plot(scene(good(), reference=reference, masks={"near": mask}))
    (drawn,) = state.masks
    curve = reference.take.curves["level"]
    at = int(np.searchsorted(curve.frequency_hz, 500.0))
    hz = curve.frequency_hz[at]
    assert drawn.at(np.array([hz]))[0] == pytest.approx(curve.value[at] + 1.0)
    away = level_plot(scene(good(), masks={"near": mask}))
    assert not away.masks
    differences = level_plot(
        replace(scene(good(), reference=reference, masks={"near": mask}), difference=True)
    )
    assert [one.name for one in differences.masks] == ["near"]


def test_while_a_take_plays_distortion_says_that_it_waits() -> None:
    state = distortion_plot(scene(is_playing=True))
    assert "has ended" in state.hint
    assert not level_plot(scene(is_playing=True)).hint


def test_the_level_s_axis_spans_fifty_decibels_with_the_masks_inside() -> None:
    state = level_plot(scene(good()))
    assert state.y is not None
    low, high = state.y
    assert high - low == 50.0
    assert all(mask.values.max() < high for mask in state.masks)
