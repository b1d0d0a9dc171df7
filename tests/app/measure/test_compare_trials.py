"""What a draft would change, counted by hand on twenty units of one figure each."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.measure.compare_trials import compare
from app.measure.rejudge import rejudge
from app.measure.trial import Trial
from app.procedure.edit_masks import offset, set_value
from dsp.conformity.verdict import Verdict
from tests.app.measure.trial_store import PROCEDURE, trial_of, twenty_units


@pytest.fixture
def trial(tmp_path: Path) -> Iterator[Trial]:
    with twenty_units(tmp_path) as store:
        yield trial_of(store, PROCEDURE)


def test_the_same_limits_change_nothing(trial: Trial) -> None:
    now = rejudge(trial, masks=PROCEDURE.masks)
    found = compare(trial, now=now, draft=now)
    assert not found.flips
    assert (found.escapes, found.escapes_now) == (0, 0)
    assert sum(found.counts.values()) == 20


def test_a_tighter_limit_stops_units_and_says_which_and_why(trial: Trial) -> None:
    now = rejudge(trial, masks=PROCEDURE.masks)
    tighter = offset(PROCEDURE.masks["level"], upper_by=-2.25, lower_by=0.0)
    masks = {**PROCEDURE.masks, "level": tighter}
    found = compare(trial, now=now, draft=rejudge(trial, masks=masks, before=now))
    # Units 18 and 19 (0.8 and 0.9 dB) are stopped; 20 was stopped by its resonance before.
    assert [trial.units[flip.unit].serial[-4:] for flip in found.flips] == ["0019", "0018"]
    assert {flip.mask for flip in found.flips} == {"level"}
    # 0019 was found good: a false reject now.
    assert (found.false_rejects, found.false_rejects_now) == (1, 0)
    assert found.counts[Verdict.DOES_NOT_CONFORM, "good"] == 1
    assert found.counts[Verdict.DOES_NOT_CONFORM, "bad"] == 1
    assert found.counts[Verdict.CONFORMS, "unknown"] == 17


def test_a_wider_limit_lets_a_bad_unit_escape(trial: Trial) -> None:
    now = rejudge(trial, masks=PROCEDURE.masks)
    wider = set_value(PROCEDURE.masks["resonance"], side="upper", value=85.0)
    found = compare(
        trial, now=now, draft=rejudge(trial, masks={**PROCEDURE.masks, "resonance": wider})
    )
    assert (found.escapes, found.escapes_now) == (1, 0)
    (flip,) = found.flips
    assert (flip.before, flip.after) == (Verdict.DOES_NOT_CONFORM, Verdict.CONFORMS)
    assert flip.mask == "resonance"


def test_a_mask_that_goes_is_named_as_the_cause(trial: Trial) -> None:
    now = rejudge(trial, masks=PROCEDURE.masks)
    level = {"level": PROCEDURE.masks["level"]}
    found = compare(trial, now=now, draft=rejudge(trial, masks=level))
    assert [flip.mask for flip in found.flips] == ["resonance"]


def test_flips_come_singly_and_in_parts(trial: Trial) -> None:
    now = rejudge(trial, masks=PROCEDURE.masks)
    tighter = offset(PROCEDURE.masks["level"], upper_by=-2.55, lower_by=0.0)
    draft = rejudge(trial, masks={**PROCEDURE.masks, "level": tighter}, before=now)
    flips = compare(trial, now=now, draft=draft).flips
    # 0.5 to 0.9 dB lie above 0.45; the one that was found good stands first, the newest next.
    serials = [trial.units[flip.unit].serial[-4:] for flip in flips]
    assert serials == ["0019", "0018", "0017", "0016", "0015"]
    assert flips[:2] == (flips[0], flips[1])
    assert flips[-1] == flips[len(flips) - 1]


def test_of_several_masks_that_turn_a_unit_the_worst_is_named(trial: Trial) -> None:
    wide = set_value(PROCEDURE.masks["resonance"], side="upper", value=85.0)
    tight = set_value(PROCEDURE.masks["resonance"], side="upper", value=80.9)
    now = rejudge(trial, masks={**PROCEDURE.masks, "resonance": wide})
    level = offset(PROCEDURE.masks["level"], upper_by=-2.25, lower_by=0.0)
    draft = rejudge(trial, masks={"level": level, "resonance": tight})
    flips = compare(trial, now=now, draft=draft).flips
    # Unit 20: 1.0 dB where 0.75 are allowed, and 81 Hz where 80.9 are.
    assert trial.units[flips[0].unit].serial == "T4-W31-0020"
    assert flips[0].mask == "level"
