"""A stored take derived again is the same bit for bit; another gate costs the bottom."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from app.measure.again import (
    derive_again,
    impulse_of,
    open_take,
    with_calibrations,
    with_gate,
    with_procedure,
)
from app.measure.events import Finished
from app.measure.excite import excite
from app.measure.make_take import Job
from app.measure.runner import Run
from app.records.store import Store
from app.records.take import Take
from dsp import Curve
from dsp.conformity.verdict import Verdict
from hardware.virtual.card import VirtualCard
from tests.app.measure.bench_job import job, open_store, procedure


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(tmp_path) as opened:
        yield opened


def kept(wanted: Job) -> Take:
    excitation = excite(wanted.procedure, wanted.chain)
    run = Run(wanted, excitation=excitation, card=VirtualCard(wanted.chain))
    last = list(run.events())[-1]
    assert isinstance(last, Finished)
    return last.take


def assert_same(one: Curve, other: Curve) -> None:
    np.testing.assert_array_equal(one.value, other.value)
    np.testing.assert_array_equal(one.frequency_hz, other.frequency_hz)


def test_derived_again_every_figure_is_the_same_and_names_where_it_came_from(store: Store) -> None:
    take = kept(job(store=store))
    again = derive_again(open_take(store, take.id), store=store).take
    assert again.id != take.id
    assert again.derived_from == take.id
    assert dict(again.numbers) == dict(take.numbers)
    assert again.curves.keys() == take.curves.keys()
    for name, curve in take.curves.items():
        assert_same(again.curves[name], curve)
    assert (again.masks, again.verdict, again.warnings) == (take.masks, take.verdict, take.warnings)
    assert store.take(again.id).derived_from == take.id
    # Of what is derived from that, the recording's own take is named, too.
    third = derive_again(open_take(store, again.id), store=store).take
    assert third.derived_from == take.id


def test_a_gate_cuts_the_echo_and_costs_everything_below_its_length(store: Store) -> None:
    # A reflection of 0.4 after 8 ms ripples the level by up to 20 log10(1.4 / 0.6) = 7.4 dB.
    echoing = kept(job(store=store, reflection=0.4, reflection_delay_s=0.008))
    clean = kept(job(store=store))
    opened = open_take(store, echoing.id)
    gated = derive_again(with_gate(opened, gate_ms=6.0), store=store, keep=False)
    assert store.count() == 2
    assert not gated.kept
    assert gated.take.procedure.geometry.gate_ms == 6.0
    level, truth = gated.take.curves["level"], clean.curves["level"]
    assert level.valid.low_hz >= 1 / 6e-3  # a record of T seconds resolves 1/T
    inside = (level.frequency_hz > 500) & (level.frequency_hz < 10_000)
    assert np.ptp((echoing.curves["level"].value - truth.value)[inside]) > 6
    assert np.max(np.abs((level.value - truth.value)[inside])) < 1.0
    wide = derive_again(with_gate(opened, gate_ms=None), store=store, keep=False)
    assert_same(wide.take.curves["level"], echoing.curves["level"])


def test_the_impulse_shows_when_direct_sound_and_reflection_arrive(store: Store) -> None:
    take = kept(job(store=store, reflection=0.4, reflection_delay_s=0.008, distance_m=1.0))
    impulse = impulse_of(open_take(store, take.id))
    assert impulse is not None
    arrival_ms = 1e3 * impulse.time_s[impulse.arrival_index]
    assert arrival_ms == pytest.approx(1e3 / 345, abs=0.3)  # 1 m at 23 °C
    late = (impulse.time_s > 8e-3) & (impulse.time_s < 14e-3)
    echo_ms = 1e3 * impulse.time_s[late][np.argmax(np.abs(impulse.samples[late]))]
    peak_ms = 1e3 * impulse.time_s[np.argmax(np.abs(impulse.samples))]
    assert echo_ms - peak_ms == pytest.approx(8.0, abs=0.1)


def test_other_masks_judge_the_same_recording(store: Store) -> None:
    take = kept(job(store=store))
    assert take.verdict is Verdict.CONFORMS
    limits = {"quantity": "level", "lower": [[100.0, 120.0], [10_000.0, 120.0]]}
    strict = procedure(masks={"level": limits}).procedure
    opened = with_procedure(open_take(store, take.id), procedure=strict)
    again = derive_again(opened, store=store).take
    assert again.verdict is Verdict.DOES_NOT_CONFORM
    assert_same(again.curves["level"], take.curves["level"])


def test_levels_stay_referred_to_the_voltage_that_the_revision_states(store: Store) -> None:
    take = kept(job(store=store))
    louder = procedure().procedure
    drive = louder.excitation.model_copy(update={"level_v_rms": 4.0})
    opened = open_take(store, take.id)
    opened = with_procedure(opened, procedure=louder.model_copy(update={"excitation": drive}))
    again = derive_again(opened, store=store, keep=False).take
    assert again.procedure.excitation == take.procedure.excitation  # what was played
    difference = again.curves["level"].value - take.curves["level"].value
    np.testing.assert_allclose(difference, 20 * np.log10(4.0 / 2.0), atol=1e-9)


def test_what_the_trial_said_is_not_forgotten(store: Store) -> None:
    wanted = job(store=store)
    chain = wanted.chain.chain
    assert chain.input.pressure is not None
    narrow = chain.input.pressure.model_copy(update={"full_scale_v": 0.02})
    wired = chain.input.model_copy(update={"pressure": narrow})
    snapshot = wanted.chain.model_copy(update={"chain": chain.model_copy(update={"input": wired})})
    take = kept(replace(wanted, chain=snapshot, check_levels=True))
    assert "dB below the procedure" in take.warnings[0]
    assert derive_again(open_take(store, take.id), store=store).take.warnings == take.warnings


def test_a_microphone_proved_since_moves_the_level_by_what_was_found(store: Store) -> None:
    take = kept(job(store=store))
    pressure = take.chain.chain.input.pressure
    assert pressure is not None
    found = pressure.model_copy(update={"sensitivity_v_per_pa": 0.04})
    inputs = take.chain.chain.input.model_copy(update={"pressure": found})
    proved = take.chain.model_copy(
        update={"chain": take.chain.chain.model_copy(update={"input": inputs})}
    )
    again = derive_again(
        with_calibrations(open_take(store, take.id), chain=proved), store=store
    ).take
    louder = again.curves["level"].value - take.curves["level"].value
    np.testing.assert_allclose(louder, 20 * np.log10(0.05 / 0.04), atol=1e-9)
    assert again.chain.chain.input.pressure == found
    assert_same(again.curves["impedance"], take.curves["impedance"])


def test_calibrations_of_another_chain_are_not_taken(store: Store) -> None:
    take = kept(job(store=store))
    other = take.chain.model_copy(
        update={"chain": take.chain.chain.model_copy(update={"name": "another bench"})}
    )
    opened = open_take(store, take.id)
    assert with_calibrations(opened, chain=other) is opened
