"""The rig as a card: what it plays, what it records, and what it refuses."""

import math
from typing import Any

import numpy as np
import pytest

from dsp import Floats
from hardware.card import Capture, Progress
from hardware.chain.snapshot import ResponseTable
from hardware.errors import CardRefusedError, OutputTooHighError
from hardware.virtual.card import VirtualCard
from tests.hardware.virtual.taking import (
    LOOP_V,
    OUTPUT_V,
    SILENT,
    capture,
    multitone,
    request,
    snapshot,
    take,
    tone,
)

RATE = 48_000.0
NOISY: dict[str, Any] = {"noise_db_spl": 40.0, "converter_noise_dbfs": -90.0}


def burst(samples: int = 9600) -> Floats:
    """Band-limited, silent at both ends: nothing of it is faded or cut."""
    n = np.arange(samples)
    tones: Floats = np.sin(0.3 * n) + np.sin(1.1 * n + 1) + np.sin(2.2 * n + 2)
    tones *= np.exp(-((n - samples / 3) ** 2) / (2 * 400.0**2)) / 4
    return np.where(np.abs(tones) > 1e-9, tones, 0.0)


def play(card: VirtualCard, output: Floats) -> Capture:
    return card.play(request(output), on_progress=lambda _: None, should_stop=lambda: False)


def test_the_same_seed_repeats_bit_for_bit_and_no_two_takes_are_alike() -> None:
    chain = snapshot(**NOISY, seed=7, faults={"particle": 0.5})
    one, other = VirtualCard(chain), VirtualCard(chain)
    first, second = play(one, burst()), play(one, burst())
    np.testing.assert_array_equal(first.samples, play(other, burst()).samples)
    np.testing.assert_array_equal(second.samples, play(other, burst()).samples)
    assert not np.array_equal(first.samples, second.samples)
    elsewhere = VirtualCard(snapshot(**NOISY, seed=8, faults={"particle": 0.5}))
    assert not np.array_equal(first.samples, play(elsewhere, burst()).samples)


def test_the_capture_is_as_long_as_the_output_and_has_every_channel_asked_for() -> None:
    got = capture(burst(), chain=snapshot(**NOISY))
    assert got.samples.shape == (9600, 5)
    assert got.samples.dtype == np.float32
    assert got.sample_rate_hz == RATE
    spare = got.samples[:, 2].astype(np.float64)  # channel 3: nothing is wired to it
    assert 20 * math.log10(np.std(spare) * math.sqrt(2)) == pytest.approx(-90, abs=0.3)


@pytest.mark.parametrize("latency", [0.0, 100.0, 480.37, 4800.9])
def test_latency_is_exact_to_a_thousandth_of_a_sample(latency: float) -> None:
    sent = np.append(burst(), np.zeros(4800))
    got = capture(sent, chain=snapshot(latency_samples=latency)).samples[:, 4].astype(np.float64)
    spectra = np.fft.rfft(got) * np.conj(np.fft.rfft(sent))
    hz = np.fft.rfftfreq(sent.size, 1 / RATE)
    strong = (np.abs(spectra) > 0.01 * np.max(np.abs(spectra))) & (hz < 20_000)
    turned = spectra[strong] * np.exp(2j * np.pi * hz[strong] * latency / RATE)
    off = np.angle(turned) / (2 * np.pi * hz[strong] / RATE)  # samples
    assert np.max(np.abs(off)) < 1e-3
    np.testing.assert_allclose(np.abs(turned), np.abs(spectra[strong]), rtol=1e-9)


@pytest.mark.parametrize("ppm", [-150.0, 37.5, 2000.0])
def test_a_fast_recorder_sees_everything_later_and_lower(ppm: float) -> None:
    # A tone of f is recorded as f / (1 + ppm 1e-6), in phase at sample 0; exact by hand.
    for hz in (1000.0, 19_000.0):
        got = take(tone(hz, v_rms=2.0, duration_s=0.5), chain=snapshot(clock_offset_ppm=ppm))
        n = np.arange(2000, 22_000)
        expected = np.sqrt(2) * 2.0 * np.sin(2 * np.pi * hz * n / (RATE * (1 + ppm * 1e-6)))
        np.testing.assert_allclose(got.loopback_v[n], expected, rtol=0, atol=2e-5)


def test_what_is_too_loud_for_an_input_stops_at_full_scale() -> None:
    loud = capture(tone(1000.0, v_rms=7.0) / OUTPUT_V, chain=snapshot(distance_m=0.05))
    pressure = loud.samples[:, 1]
    assert np.max(pressure) == 1.0
    assert np.min(pressure) == -1.0
    assert np.count_nonzero(np.abs(pressure) == 1.0) > 1000


def test_an_output_above_the_ceiling_is_refused_and_one_at_it_is_played() -> None:
    card, signal = VirtualCard(snapshot()), 0.5 * burst() / np.max(np.abs(burst()))
    at = request(signal, ceiling=0.5)
    heard = card.play(at, on_progress=lambda _: None, should_stop=lambda: False)
    assert np.max(np.abs(heard.samples[:, 4])) == pytest.approx(0.5 * OUTPUT_V / LOOP_V, rel=0.01)
    with pytest.raises(OutputTooHighError, match=r"given 0\.5, allowed 0\.49"):
        card.play(
            request(signal, ceiling=0.49), on_progress=lambda _: None, should_stop=lambda: False
        )


def test_an_inverting_amplifier_turns_voltage_and_pressure_but_not_the_loopback() -> None:
    right, wrong = (take(burst(), chain=snapshot(gain=g, linear=True)) for g in (2.0, -2.0))
    np.testing.assert_allclose(wrong.terminal_v, -right.terminal_v, rtol=0, atol=1e-6)
    np.testing.assert_allclose(wrong.pressure_pa, -right.pressure_pa, rtol=0, atol=1e-7)
    np.testing.assert_allclose(wrong.loopback_v, right.loopback_v, rtol=0, atol=1e-6)
    assert np.max(np.abs(right.terminal_v)) > 1.8 * np.max(np.abs(right.loopback_v))


def test_nothing_arrives_before_it_can() -> None:
    # 2 m at about 345 m/s is 278 samples, the latency 500 more; filters ring a little ahead, 5 ms.
    volts = np.zeros(9600)
    volts[3000:3003] = 5.0
    got = take(volts, chain=snapshot(latency_samples=500.0, distance_m=2.0))
    first = np.max(np.abs(got.pressure_pa[: 3000 + 500 + 270 - 250]))
    assert first < 1e-6 * np.max(np.abs(got.pressure_pa))


def test_a_reflection_comes_again_later_and_smaller() -> None:
    plain = take(burst(), chain=snapshot(linear=True)).pressure_pa
    echo = take(
        burst(), chain=snapshot(linear=True, reflection=0.5, reflection_delay_s=0.005)
    ).pressure_pa
    late = np.append(np.zeros(240), plain[:-240])
    np.testing.assert_allclose(echo, plain + 0.5 * late, rtol=0, atol=1e-6 * np.max(plain))


def test_a_microphone_colours_what_it_hears_as_its_table_says() -> None:
    played = multitone(v_rms=0.2)
    table = ResponseTable(hz=(10.0, 25_000.0), db=(-3.0, 4.0), deg=(20.0, -70.0))
    flat, coloured = (
        played.phasors(take(played.volts, chain=snapshot(r, linear=True)).pressure_pa)
        for r in (None, table)
    )
    hz = np.log(played.frequency_hz)
    # Every corner of a table rings before and after its time; this one has its corner at 10 Hz.
    clear = played.frequency_hz > 100
    db = np.interp(hz, np.log(table.hz), table.db)
    deg = np.interp(hz, np.log(table.hz), table.deg)
    expected = 10 ** (db / 20) * np.exp(1j * np.radians(deg))
    np.testing.assert_allclose((coloured / flat)[clear], expected[clear], rtol=2e-5)
    np.testing.assert_allclose(coloured / flat, expected, rtol=2e-3)


@pytest.mark.parametrize(
    ("name", "pink"), [("noise_db_spl", False), ("factory_noise_db_spl", True)]
)
def test_noise_has_the_level_and_the_colour_stated(name: str, *, pink: bool) -> None:
    chain = snapshot(**SILENT | {name: 60.0})
    noise = take(np.zeros(192_000), chain=chain).pressure_pa
    # 60 dB SPL is 0.02 Pa; pink noise of 4 s scatters by a few tenths of a decibel.
    assert 20 * math.log10(np.std(noise) / 0.02) == pytest.approx(0, abs=0.7 if pink else 0.1)
    power = np.abs(np.fft.rfft(noise)) ** 2
    low, high = np.sum(power[400:800]), np.sum(power[40_000:80_000])
    slope_db = 10 * math.log10(high / low)  # two bands, each an octave wide
    assert slope_db == pytest.approx(0.0 if pink else 20.0, abs=0.5)


@pytest.mark.parametrize("real_time", [False, True])
def test_progress_is_told_from_start_to_end(*, real_time: bool) -> None:
    told: list[Progress] = []
    card = VirtualCard(snapshot(real_time=real_time))
    card.play(request(burst()), on_progress=told.append, should_stop=lambda: False)
    frames = [p.frames_played for p in told]
    assert frames == sorted(frames)
    assert frames[-1] == told[-1].frames == 9600
    if not real_time:
        assert len(told) == 20
    assert max(p.input_peak[4] for p in told if p.input_peak) > 0.1


@pytest.mark.parametrize("real_time", [False, True])
def test_all_reports_together_are_the_capture_and_cannot_be_written_to(*, real_time: bool) -> None:
    told: list[Progress] = []
    card = VirtualCard(snapshot(real_time=real_time, **NOISY))
    got = card.play(request(burst()), on_progress=told.append, should_stop=lambda: False)
    np.testing.assert_array_equal(np.concatenate([p.fresh for p in told]), got.samples)
    with pytest.raises(ValueError, match="read-only"):
        told[0].fresh[0, 0] = 1.0


def test_in_real_time_a_run_lasts_as_long_as_its_signal_whatever_its_listener_costs(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    now = [100.0]  # s of a clock that only waiting and the listener move

    class Pause:
        def wait(self, seconds: float) -> None:
            now[0] += seconds

    def listen(_: Progress) -> None:
        now[0] += 0.01

    monkeypatch.setattr("hardware.virtual.pace.Event", Pause)
    monkeypatch.setattr("hardware.virtual.pace.monotonic", lambda: now[0])
    VirtualCard(snapshot(real_time=True)).play(
        request(np.zeros(24_000)), on_progress=listen, should_stop=lambda: False
    )
    assert now[0] - 100.0 == pytest.approx(0.5 + 0.01)  # s; the last listener comes after the end


def test_in_real_time_a_stop_is_heard_before_the_next_block() -> None:
    told: list[Progress] = []
    card = VirtualCard(snapshot(real_time=True))
    got = card.play(
        request(np.zeros(480_000)), on_progress=told.append, should_stop=lambda: len(told) >= 2
    )
    assert len(told) == 2
    assert got.samples.shape[0] == sum(one.fresh.shape[0] for one in told) < 480_000


@pytest.mark.parametrize("stop_at", [0, 1, 7])
def test_a_stopped_take_ends_where_it_was_stopped(stop_at: int) -> None:
    told: list[Progress] = []
    whole = capture(burst(), chain=snapshot())
    short = VirtualCard(snapshot()).play(
        request(burst()), on_progress=told.append, should_stop=lambda: len(told) >= stop_at
    )
    reached = told[-1].frames_played if told else 0
    assert short.samples.shape == (reached, 5)
    np.testing.assert_array_equal(short.samples, whole.samples[:reached])


def test_refusals_name_what_is_allowed() -> None:
    card = VirtualCard(snapshot())
    with pytest.raises(CardRefusedError, match=r"given 4000 Hz, allowed 8000 to 384000 Hz"):
        card.play(
            request(burst(), rate=4000.0), on_progress=lambda _: None, should_stop=lambda: False
        )
    card.close()
    with pytest.raises(CardRefusedError, match="closed"):
        play(card, burst())
    with pytest.raises(CardRefusedError, match=r"no such unit: given X1, allowed T130"):
        VirtualCard(snapshot(unit="X1"))


@pytest.mark.parametrize("rate", [8000.0, 192_000.0, 384_000.0])
def test_every_rate_that_a_chain_may_ask_for_is_played(rate: float) -> None:
    got = take(tone(500.0, v_rms=2.0, duration_s=0.2, rate=rate), chain=snapshot(), rate=rate)
    middle = got.loopback_v[round(0.05 * rate) : round(0.15 * rate)]
    assert np.std(middle) == pytest.approx(2.0, rel=1e-4)
    assert np.all(np.isfinite(got.pressure_pa))
