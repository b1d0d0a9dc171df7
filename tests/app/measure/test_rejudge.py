"""Trials: stored units judged again are judged as they would have been on the line."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from app.measure.derived import Derived
from app.measure.held import held
from app.measure.judge import judge
from app.measure.rejudge import rejudge
from app.procedure.edit_masks import move_point, offset
from app.procedure.mask_schema import Mask
from app.procedure.schema import Procedure
from app.records.store import Store
from dsp.conformity.verdict import MaskResult, Verdict
from tests.app.measure.trial_store import (
    PROCEDURE,
    keep,
    level,
    trial_of,
    twenty_units,
    unit_take,
)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with twenty_units(tmp_path) as made:
        yield made


def with_mask(name: str, mask: Mask) -> Procedure:
    return PROCEDURE.model_copy(update={"masks": {**PROCEDURE.masks, name: mask}})


def test_a_trial_counts_what_can_be_counted_by_hand(store: Store) -> None:
    trial = trial_of(store, PROCEDURE)
    assert trial.size == 20
    assert trial.lots == ("T4-W31", "T4-W32")
    now = rejudge(trial, masks=PROCEDURE.masks)
    assert now.yielded == pytest.approx(19 / 20)  # unit 20 resonates at 81 Hz, above 80
    tighter = offset(PROCEDURE.masks["level"], upper_by=-2.25, lower_by=0.0)
    draft = rejudge(trial, masks={**PROCEDURE.masks, "level": tighter}, before=now)
    # Units 18, 19 and 20 lie at 0.8, 0.9, 1.0 dB, above 0.75.
    assert draft.masks["level"].fails.sum() == 3
    assert draft.yielded == pytest.approx(17 / 20)
    assert draft.masks["resonance"] is now.masks["resonance"]
    newest = trial.units[0]
    assert (newest.serial, newest.mark, newest.why) == ("T4-W31-0020", "bad", "heard a rattle")
    assert draft.verdict(0) is Verdict.DOES_NOT_CONFORM


def test_the_worst_margin_is_that_of_the_fifth_percentile(store: Store) -> None:
    now = rejudge(trial_of(store, PROCEDURE), masks=PROCEDURE.masks)
    # Margins are 3 - |offset|: 2.0, 2.1, 2.1, …; numpy's percentile lies at 0.95 of the first gap.
    assert now.masks["level"].worst_margin == pytest.approx(2.0 + 0.95 * 0.1)


@pytest.mark.parametrize("relative", [False, True])
@pytest.mark.parametrize("align", [None, "level"])
@pytest.mark.parametrize("guard", [0.0, 1.0])
def test_every_unit_is_judged_as_on_the_line(
    store: Store, relative: bool, align: str | None, guard: float
) -> None:
    keep(store, unit_take(21, offset=0.0, bump=4.0), number=21)
    keep(store, unit_take(22, offset=-3.0, bump=2.9), number=22)
    reference = store.find(serial="T4-W31-0010")[0]
    store.set_reference(reference.id, by="QC", why="chosen")
    mask = PROCEDURE.masks["level"].model_copy(
        update={"relative_to": "reference" if relative else None, "align": align, "guard": guard}
    )
    procedure = with_mask("level", move_point(mask, side="upper", index=1, hz=900.0, value=2.9))
    trial = trial_of(store, procedure)
    found = rejudge(trial, masks=procedure.masks)
    for place, unit in enumerate(trial.units):
        take = store.take(unit.take_id)
        alone = judge(
            Derived(
                numbers=take.numbers,
                curves=take.curves,
                warnings=(),
                impulse=None,
                capture_offset=0,
                clock_offset_ppm=0.0,
                latency_source="loopback",
            ),
            procedure=procedure,
            reference=store.take(reference.id),
        )
        assert found.verdict(place) is alone.verdict
        for name, result in alone.masks.items():
            assert found.masks[name].margin[place] == pytest.approx(result.margin, nan_ok=True)


def test_what_must_not_be_judged_is_not(store: Store) -> None:
    clipped = MaskResult(
        verdict=Verdict.NOT_DECIDED, margin=float("nan"), reason="input.pressure clipped"
    )
    take = unit_take(
        23,
        offset=0.0,
        masks={"level": clipped, "resonance": clipped},
        verdict=Verdict.NOT_DECIDED,
    )
    keep(store, take, number=23)
    trial = trial_of(store, PROCEDURE)
    now = rejudge(trial, masks=PROCEDURE.masks)
    assert trial.units[0].serial == "T4-W31-0023"
    assert now.verdict(0) is Verdict.NOT_DECIDED
    assert np.isnan(now.masks["level"].margin[0])


def test_only_the_newest_take_of_a_unit_counts(store: Store) -> None:
    again = replace(unit_take(5, offset=9.0), id="f" * 32)
    again = replace(again, started_utc=again.started_utc.replace(year=2027))
    keep(store, again, number=5)
    trial = trial_of(store, PROCEDURE)
    assert trial.size == 20
    assert rejudge(trial, masks=PROCEDURE.masks).masks["level"].fails.sum() == 1


def test_a_lot_alone_can_be_tried(store: Store) -> None:
    assert trial_of(store, PROCEDURE, lot="T4-W32").size == 10


def test_a_mask_on_what_nobody_measured_decides_nothing(store: Store) -> None:
    procedure = with_mask("thd", Mask(quantity="thd", upper=((100.0, 1.0), (1000.0, 1.0))))
    trial = trial_of(store, procedure)
    found = rejudge(trial, masks=procedure.masks)
    assert not found.conforms.any()
    assert held(trial, found.masks["thd"]) is None
    assert found.masks["thd"].worst_margin != found.masks["thd"].worst_margin


def test_without_units_nothing_is_said(tmp_path: Path) -> None:
    with Store.open(tmp_path / "empty.sqlite") as empty:
        trial = trial_of(empty, PROCEDURE)
        found = rejudge(trial, masks=PROCEDURE.masks)
    assert np.isnan(found.yielded)
    assert held(trial, found.masks["level"]) is None


def test_what_is_held_against_an_aligned_mask_has_its_level_taken_out(store: Store) -> None:
    mask = PROCEDURE.masks["level"].model_copy(update={"align": "level"})
    trial = trial_of(store, PROCEDURE)
    found = held(trial, rejudge(trial, masks={"level": mask}).masks["level"])
    assert found is not None
    inside = (found.frequency_hz > 101) & (found.frequency_hz < 9900)
    np.testing.assert_allclose(found.value[:, inside], 0.0, atol=1e-9)
    assert (found.low_hz, found.high_hz, found.low_reason) == (50.0, 15_000.0, "gate")
    spread = found.spread()
    assert spread.count[0] == 20


def test_where_noise_hides_a_unit_its_bound_stands_in_the_spread(store: Store) -> None:
    hidden = level(0.5)
    hidden = replace(hidden, is_bound=np.ones(hidden.frequency_hz.size, dtype=np.bool_))
    take = replace(unit_take(24, offset=0.5), curves={"level": hidden})
    keep(store, take, number=24)
    trial = trial_of(store, PROCEDURE)
    found = held(trial, rejudge(trial, masks=PROCEDURE.masks).masks["level"])
    assert found is not None
    assert trial.units[0].serial == "T4-W31-0024"
    shown = found.of_unit(0)
    assert shown is not None
    np.testing.assert_allclose(shown, 0.5)
