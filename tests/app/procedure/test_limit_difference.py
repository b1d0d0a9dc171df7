"""What changed between two revisions is said so that nobody has to compare figures."""

from typing import Any

import pytest

from app.procedure.limit_difference import difference
from app.procedure.mask_schema import Mask

SHAPE: dict[str, Any] = {
    "quantity": "level",
    "upper": ((100.0, 4.0), (700.0, 4.6), (5000.0, 4.0)),
    "lower": ((100.0, -4.0), (5000.0, -4.0)),
    "relative_to": "reference",
}


def mask(**content: Any) -> Mask:
    return Mask.model_validate(content)


@pytest.mark.parametrize(
    ("changes", "effect", "words"),
    [
        (
            {"upper": ((100.0, 4.0), (700.0, 3.4), (5000.0, 3.9))},
            "tighter",
            "upper at 700 Hz from +4.6 to +3.4 dB, 2 points moved",
        ),
        (
            {"lower": ((100.0, -4.5), (5000.0, -4.5))},
            "looser",
            "lower as a whole by −0.5 dB",
        ),
        (
            {"upper": ((100.0, 4.5), (700.0, 4.6), (5000.0, 3.5))},
            "tighter and looser",
            "upper at 100 Hz from +4 to +4.5 dB, 2 points moved",
        ),
        (  # on the line as it ran: log f is half-way at the geometric mean
            {"upper": ((100.0, 4.0), (700.0, 4.6), (1870.8286933869706, 4.3), (5000.0, 4.0))},
            "other",
            "1 point added",
        ),
        (
            {"upper": ((100.0, 4.0), (700.0, 4.6))},
            "looser",
            "1 point removed, upper now from 100 Hz to 700 Hz",
        ),
        ({"upper": 4.0}, "tighter", "upper +4 dB instead of 3 points from 100 Hz to 5 kHz"),
        ({"lower": None}, "looser", "lower limit removed"),
        ({"guard": 1.0}, "tighter", "guard from 0 to 1 times the uncertainty"),
        (
            {"align": "level", "align_band_hz": (200.0, 2000.0)},
            "other",
            "level-aligned, aligned over 200 Hz to 2 kHz",
        ),
    ],
)
def test_one_change_of_a_mask(changes: dict[str, Any], effect: str, words: str) -> None:
    (change,) = difference({"level_shape": mask(**SHAPE)}, {"level_shape": mask(**SHAPE | changes)})
    assert (change.kind, change.effect) == ("changed", effect)
    assert change.words == f"Level shape: {words}"


def test_single_limits_and_what_they_are_for() -> None:
    old = {"resonance": mask(quantity="fs_hz", upper=90.0, lower=70.0)}
    new = {"resonance": mask(quantity="re_ohm", upper=6.2, lower=70.0 - 65.0)}
    (change,) = difference(old, new)
    assert change.words == (
        "Resonance: of re ohm instead of fs hz, upper from 90 to 6.2 Ω, lower from 70 to 5 Ω"
    )
    assert change.effect == "other"


def test_masks_that_came_went_and_were_renamed_in_the_old_order_then_the_new() -> None:
    shape, thd = mask(**SHAPE), mask(quantity="thd", upper=1.0)
    fs, polarity = mask(quantity="fs_hz", upper=90.0), mask(quantity="polarity", lower=0.0)
    changes = difference({"a": shape, "b": thd, "c": fs}, {"c": fs, "d": polarity, "e": shape})
    assert [(one.mask, one.kind, one.effect, one.words) for one in changes] == [
        ("e", "renamed", "other", "E: renamed, was A"),
        ("b", "removed", "looser", "B: removed"),
        ("d", "added", "tighter", "D: added, lower limit of polarity"),
    ]


def test_no_change_is_no_word() -> None:
    assert difference({"a": mask(**SHAPE)}, {"a": mask(**SHAPE)}) == ()
