"""A probe of a link as a run: every capture comes back, a stop leaves none, the request travels."""

import math
import pickle

import numpy as np
import pytest

from app.calibrate.play import probe_request
from app.measure.events import Entered, Event, Played, Probed, State
from app.measure.probe_run import ProbeRun, Probing
from dsp.calibration.probe import steady_probe
from hardware.virtual.card import VirtualCard
from tests.app.measure.bench_job import chain

_PEAK = 0.05  # full-scale units: half a volt at the terminals
_LOOPBACK, _OUTPUT_V, _LOOPBACK_V = 2, 10.0, 20.0


def _probing(*, times: int = 1) -> Probing:
    bench = chain()
    probe = steady_probe(48_000.0, frequency_hz=1000.0, peak=_PEAK, hold_s=0.5)
    return Probing(chain=bench, request=probe_request(probe, chain=bench.chain), times=times)


def _states(events: list[Event]) -> list[State]:
    return [event.state for event in events if isinstance(event, Entered)]


def test_each_play_gives_a_recording_of_what_was_played() -> None:
    wanted = _probing(times=2)
    events = list(ProbeRun(wanted, card=VirtualCard(wanted.chain)).events())
    last = events[-1]
    assert isinstance(last, Probed)
    assert _states(events) == [State.PROBING, State.DONE]
    assert len(last.captures) == 2
    assert any(isinstance(event, Played) and event.input_peak_dbfs for event in events)
    for capture in last.captures:
        # The rms of a sine is its peak over the root of two; the loopback hears it at half scale.
        held = capture.samples[40_000:48_000, _LOOPBACK].astype(np.float64)
        rms = float(np.sqrt(np.mean(held**2)))
        expected = _PEAK * _OUTPUT_V / _LOOPBACK_V / math.sqrt(2)
        assert rms == pytest.approx(expected, rel=0.01)
    one, other = last.captures
    assert not np.array_equal(one.samples, other.samples)  # of another noise


def test_a_stop_ends_it_silent_and_gives_nothing() -> None:
    wanted = _probing(times=3)
    run = ProbeRun(wanted, card=VirtualCard(wanted.chain))
    events = []
    for event in run.events():
        events.append(event)
        run.stop()
    assert run.state is State.STOPPED
    assert _states(events)[-1] is State.STOPPED
    assert not any(isinstance(event, Probed) for event in events)


def test_a_request_can_go_into_another_process() -> None:
    wanted = _probing(times=2)
    back = pickle.loads(pickle.dumps(wanted))
    assert back.chain == wanted.chain
    assert back.times == 2
    assert np.array_equal(back.request.output, wanted.request.output)
    assert back.request.ceiling == wanted.request.ceiling
