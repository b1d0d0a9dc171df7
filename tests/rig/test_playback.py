"""What is asked for is what the card gets, sample for sample; what it gives is what comes back."""

from collections.abc import Callable

import numpy as np
import pytest

from hardware.card import Progress, Samples
from hardware.chain.schema import Device
from hardware.errors import OutputTooHighError
from hardware.soundcard.card import SoundCard
from tests.rig.playing import noise, play
from tests.rig.software import CHANNELS, PERIOD, RATE, SoftwareCard, wait_until

SILENT = np.zeros(RATE // 10, dtype=np.float32)


def sounding(heard: Samples) -> Samples:
    """From the first to the last frame in which any channel was not zero; (n, channels)."""
    frames = np.flatnonzero(heard.any(axis=1))
    return heard[frames[0] : frames[-1] + 1]


@pytest.mark.parametrize("block", [0, 256, 1024])
def test_the_capture_is_the_output_bit_for_bit_but_for_a_delay(
    bench: SoftwareCard,
    make_card: Callable[[Device], SoundCard],
    block: int,
) -> None:
    output = noise(1.0)
    capture = play(make_card(Device(name=bench.name, block=block)), output)
    came = capture.samples[:, 0]
    delay = int(np.flatnonzero(came)[0] - np.flatnonzero(output)[0])
    assert 0 < delay <= 2 * max(PERIOD, block)
    np.testing.assert_array_equal(came[delay:], output[: output.size - delay])
    assert capture.samples.shape == (output.size, CHANNELS)
    assert capture.lost_channels == ()
    assert "Tram Bench (JACK Audio Connection Kit), PortAudio" in capture.card


def test_the_signal_leaves_by_its_channels_alone(card: SoundCard, bench: SoftwareCard) -> None:
    output, start = noise(0.3), bench.frames
    capture = play(card, output, output_channel=2, copy_channel=4)
    heard = sounding(bench.heard_since(start))
    wanted = sounding(output[:, np.newaxis])[:, 0]
    np.testing.assert_array_equal(heard[:, 1], wanted)
    np.testing.assert_array_equal(heard[:, 3], wanted)
    assert not np.any(heard[:, [0, 2]])
    assert np.flatnonzero(capture.samples.any(axis=0)).tolist() == [1, 3]


def test_only_the_inputs_asked_for_come_back(card: SoundCard) -> None:
    assert play(card, noise(0.2), input_channels=1).samples.shape == (9600, 1)


def test_a_step_is_faded_at_both_ends(card: SoundCard, bench: SoftwareCard) -> None:
    start = bench.frames
    play(card, np.full(RATE // 5, 0.5, dtype=np.float32))
    heard = sounding(bench.heard_since(start))[:, 0]
    # Half a cosine over 5 ms climbs by at most pi/2/240 of the step a sample, at its middle.
    steepest = np.abs(np.diff(heard, prepend=0, append=0)).max()
    assert steepest <= 0.5 * np.pi / 2 / 240 * 1.001
    np.testing.assert_array_equal(heard[240:-240], np.float32(0.5))


def test_what_is_too_high_is_refused_and_nothing_leaves(
    card: SoundCard, bench: SoftwareCard
) -> None:
    play(card, noise(0.2))
    wait_until(lambda: not bench.heard_since(bench.frames - PERIOD).any(), "silence")
    start, output = bench.frames, noise(0.2)
    output[5000] = 0.6
    with pytest.raises(
        OutputTooHighError, match=r"sample 5000 too high: given 0\.6, allowed 0\.55"
    ):
        play(card, output, ceiling=0.55)
    wait_until(lambda: bench.frames > start + 8 * PERIOD, "eight periods")
    assert not np.any(bench.heard_since(start))


def test_a_signal_changed_after_the_check_never_passes_the_ceiling(
    card: SoundCard, bench: SoftwareCard
) -> None:
    output, start = noise(1.0), bench.frames

    def spoil(_: Progress) -> None:
        output[:] = 1.0

    play(card, output, ceiling=0.5, on_progress=spoil)
    assert np.abs(bench.heard_since(start)).max() <= 0.5


def test_stop_ramps_to_silence_within_a_block(card: SoundCard, bench: SoftwareCard) -> None:
    output = np.full(4 * RATE, 0.5, dtype=np.float32)
    start, asked = bench.frames, []

    def should_stop() -> bool:
        if bench.frames > start + RATE // 2:
            asked.append(bench.frames)
        return bool(asked)

    capture = play(card, output, should_stop=should_stop)
    assert 0 < capture.samples.shape[0] < 2 * RATE
    whole = bench.heard_since(start)[:, 0]
    heard = sounding(whole[:, np.newaxis])[:, 0]
    assert np.abs(np.diff(heard, prepend=0, append=0)).max() <= 0.5 * np.pi / 2 / 240 * 1.001
    # One block until the callback sees it, one until the server passes it on, one in the making.
    silent_from = start + np.flatnonzero(whole)[-1] + 1
    assert silent_from - asked[0] <= 3 * PERIOD


def test_the_process_is_kept_for_the_next_take(card: SoundCard) -> None:
    play(card, noise(0.2))
    first = card.process_id
    play(card, noise(0.2))
    assert first is not None
    assert card.process_id == first


def test_an_error_of_the_callers_silences_the_card_and_it_plays_again(
    card: SoundCard, bench: SoftwareCard
) -> None:
    def fails(progress: Progress) -> None:
        if progress.frames_played > RATE // 10:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        play(card, noise(4), on_progress=fails)
    after = bench.frames
    wait_until(lambda: bench.frames > after + 4 * PERIOD, "four periods")
    assert not np.any(bench.heard_since(after + 2 * PERIOD))
    assert np.any(play(card, noise(0.2)).samples)


def test_progress_rises_to_the_end_and_shows_every_peak(card: SoundCard) -> None:
    output = np.zeros(RATE // 2, dtype=np.float32)
    output[RATE // 4] = 0.75
    seen: list[Progress] = []
    play(card, output, on_progress=seen.append)
    played = [progress.frames_played for progress in seen]
    assert played == sorted(played)
    assert played[-1] == output.size
    assert max(progress.input_peak[0] for progress in seen if progress.input_peak) == 0.75
    assert {len(progress.input_peak) for progress in seen} - {0} == {CHANNELS}


def test_all_reports_together_are_the_capture_and_cannot_be_written_to(card: SoundCard) -> None:
    seen: list[Progress] = []
    got = play(card, noise(0.5), on_progress=seen.append)
    np.testing.assert_array_equal(
        np.concatenate([progress.fresh for progress in seen]), got.samples
    )
    assert not seen[0].fresh.flags.writeable
