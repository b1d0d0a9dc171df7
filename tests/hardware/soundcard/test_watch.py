"""Exact zeros tell a card that went away from silence, pauses and idle inputs."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hardware.card import Samples
from hardware.soundcard.watch import InputWatch

RATE = 48_000
SECOND = np.random.default_rng(5).uniform(-0.5, 0.5, RATE).astype(np.float32)


def watched(output: Samples, *inputs: Samples, step: int = 2400, block: int = 1024) -> InputWatch:
    recorded = np.stack(inputs, axis=1)
    watch = InputWatch(output, channels=len(inputs), sample_rate_hz=RATE, block=block)
    for stop in [*range(step, recorded.shape[0], step), recorded.shape[0]]:
        watch.look(recorded[:stop])
    return watch


def cut(samples: Samples, start: int, stop: int | None = None) -> Samples:
    with_hole = samples.copy()
    with_hole[start:stop] = 0
    return with_hole


@settings(max_examples=30, deadline=None)
@given(st.integers(64, 60_000))
def test_a_hole_is_found_whatever_the_steps(step: int) -> None:
    watch = watched(SECOND, SECOND, cut(SECOND, 10_000, 16_000), step=step)
    assert watch.lost_channels == (2,)
    assert not watch.card_gone


@settings(max_examples=30, deadline=None)
@given(st.integers(64, 60_000))
def test_a_short_hole_is_none(step: int) -> None:
    assert watched(SECOND, cut(SECOND, 10_000, 14_000), step=step).lost_channels == ()


def test_a_card_is_gone_when_every_input_that_lived_is_zero() -> None:
    idle = np.zeros_like(SECOND)
    watch = watched(SECOND, cut(SECOND, 30_000), cut(SECOND, 31_000), idle)
    assert watch.card_gone
    assert watch.lost_channels == (1, 2)


def test_one_live_input_keeps_the_card() -> None:
    watch = watched(SECOND, cut(SECOND, 30_000), SECOND)
    assert not watch.card_gone
    assert watch.lost_channels == (1,)


def test_a_noiseless_loop_through_pauses_is_no_loss() -> None:
    output = cut(cut(cut(SECOND, 0, 12_000), 20_000, 30_000), 40_000)
    looped = np.concatenate([np.zeros(2048, np.float32), output[:-2048]])
    watch = watched(output, looped)
    assert watch.lost_channels == ()
    assert not watch.card_gone
    assert not watch.never_heard


def test_nothing_but_zeros_under_a_sound_is_told_at_the_end_and_after_a_second() -> None:
    idle = np.zeros_like(SECOND)
    watch = watched(SECOND, idle, idle)
    assert watch.never_heard
    assert not watch.card_gone
    longer = np.tile(SECOND, 2)
    assert watched(longer, np.zeros_like(longer)).card_gone


def test_nothing_played_and_nothing_heard_is_no_loss() -> None:
    idle = np.zeros(3 * RATE, dtype=np.float32)
    watch = watched(idle, idle)
    assert not watch.never_heard
    assert not watch.card_gone


def test_an_input_that_dies_while_nothing_is_played_is_found() -> None:
    heard = np.tile(SECOND, 3)
    assert watched(np.zeros_like(heard), cut(heard, 40_000)).card_gone


def test_an_input_of_few_bits_may_rest_while_nothing_is_played() -> None:
    heard = np.tile(SECOND, 3)
    quiet = cut(cut(heard, 10_000, 100_000), 110_000)  # 1.9 s, then 0.7 s until now
    watch = watched(np.zeros_like(heard), quiet)
    assert not watch.card_gone
    assert watch.lost_channels == ()


@pytest.mark.parametrize(("block", "lost"), [(1024, (2,)), (8192, ())])
def test_long_blocks_need_longer_zeros(block: int, lost: tuple[int, ...]) -> None:
    watch = watched(SECOND, SECOND, cut(SECOND, 10_000, 20_000), block=block)
    assert watch.lost_channels == lost
