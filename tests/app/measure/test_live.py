"""While a take plays, level and impedance can be watched: near what the take itself then says."""

import numpy as np
import pytest

from app.measure.events import Finished, Played
from app.measure.excite import excite
from app.measure.live import LiveReader, LiveReading
from app.measure.make_take import Job
from app.measure.runner import Run
from app.procedure.loaded import LoadedProcedure
from hardware.chain.schema import TerminalInput
from hardware.chain.snapshot import ChainSnapshot
from hardware.virtual.card import VirtualCard
from tests.app.measure.bench_job import chain, procedure

TONES: dict[str, object] = {
    "kind": "tones",
    "hz": [100.0, 1000.0],
    "dwell_s": 0.6,
    "level_v_rms": 2.0,
}


def measured(
    loaded: LoadedProcedure, snapshot: ChainSnapshot
) -> tuple[list[LiveReading], Finished]:
    excitation = excite(loaded, snapshot)
    run = Run(
        Job(procedure=loaded, chain=snapshot), excitation=excitation, card=VirtualCard(snapshot)
    )
    live: list[LiveReading] = []
    for event in run.events():
        if isinstance(event, Played):
            live += event.live
        if isinstance(event, Finished):
            return live, event
    raise AssertionError


def without(snapshot: ChainSnapshot, *names: str) -> ChainSnapshot:
    wired = snapshot.chain.input.model_copy(update=dict.fromkeys(names))
    return snapshot.model_copy(update={"chain": snapshot.chain.model_copy(update={"input": wired})})


def wired(snapshot: ChainSnapshot, *, taps: bool, changes: dict[str, float]) -> ChainSnapshot:
    """Change the sense input; put a tap at the terminals where ``taps``."""
    inputs = snapshot.chain.input
    assert inputs.sense is not None
    tap = TerminalInput(channel=4, full_scale_v=20.0) if taps else None
    update = {"sense": inputs.sense.model_copy(update=changes), "terminal": tap}
    chain = snapshot.chain.model_copy(update={"input": inputs.model_copy(update=update)})
    return snapshot.model_copy(update={"chain": chain})


@pytest.mark.parametrize("latency", [0.0, 480.0, 4000.0])
def test_a_sweep_is_read_near_what_the_take_says_however_late_the_card_is(latency: float) -> None:
    # The take is held against closed forms elsewhere; the rig's noise is low.
    live, finished = measured(procedure(), chain(latency_samples=latency))
    hz = np.array([one.hz for one in live])
    assert (np.diff(hz) > 0).all()
    assert hz[0] < 40
    assert hz[-1] > 15_000
    apart = live[int(np.argmin(np.abs(hz - 1000)))]
    for name, value, bound in (
        ("level", apart.level_db, 0.3),
        ("impedance", apart.impedance_ohm, 0.1),
    ):
        curve = finished.take.curves[name]
        assert value == pytest.approx(
            float(np.interp(apart.hz, curve.frequency_hz, curve.value)), abs=bound
        )


def test_levels_are_referred_to_the_distance_and_the_voltage_of_the_take() -> None:
    far = {"distance_m": 0.5, "reference_distance_m": 1.0}
    stated = {"level": {"reference_v": 4.0}}
    live, finished = measured(
        procedure(geometry=far, quantities=stated, masks={}), chain(distance_m=0.5)
    )
    one = live[int(np.argmin([abs(reading.hz - 1000) for reading in live]))]
    level = finished.take.curves["level"]
    kept = float(np.interp(one.hz, level.frequency_hz, level.value))
    assert one.level_db == pytest.approx(kept, abs=0.3)


def test_long_tones_are_read_again_and_again() -> None:
    live, _ = measured(procedure(excitation=TONES, masks={}), chain())
    assert [one.hz for one in live] == [100.0] * 3 + [1000.0] * 3


@pytest.mark.parametrize("kind", ["noise", "multitone"])
def test_noise_and_multitones_are_read_in_third_octaves(kind: str) -> None:
    loaded = procedure(
        excitation={"kind": kind, "duration_s": 3.0, "level_v_rms": 2.0, "start_hz": 50.0}, masks={}
    )
    live, finished = measured(loaded, chain())
    last = {one.hz: one for one in live}
    assert len(last) > 20
    assert len(live) > 2 * len(last)  # told again and again
    level, ohms = finished.take.curves["level"], finished.take.curves["impedance"]
    for hz, one in last.items():
        if not 300 < hz < 3000:  # where both curves are smooth over a third of an octave
            continue
        assert one.level_db is not None
        assert one.impedance_ohm is not None
        kept = float(np.interp(hz, level.frequency_hz, level.value))
        assert one.level_db == pytest.approx(kept, abs=1.0)
        kept = float(np.interp(hz, ohms.frequency_hz, ohms.value))
        assert one.impedance_ohm == pytest.approx(kept, rel=0.03)


@pytest.mark.parametrize("taps", [True, False])
def test_leads_are_taken_off_and_a_late_sense_input_is_read_late(taps: bool) -> None:
    leads = {"lead_ohm": 0.5, "late_s": 5 / 48_000 if taps else 0.0}
    truth = {"lead_ohm": 0.5, "sense_late_samples": 5.0 if taps else 0.0}
    live, finished = measured(
        procedure(masks={}), wired(chain(truth=truth), taps=taps, changes=leads)
    )
    one = live[int(np.argmin([abs(reading.hz - 400) for reading in live]))]
    curve = finished.take.curves["impedance"]  # held against the rig's truth elsewhere
    kept = float(np.interp(one.hz, curve.frequency_hz, curve.value))
    assert one.impedance_ohm == pytest.approx(kept, abs=0.1)
    level = finished.take.curves["level"]
    kept = float(np.interp(one.hz, level.frequency_hz, level.value))
    assert one.level_db == pytest.approx(kept, abs=0.1)


@pytest.mark.parametrize(("late_s", "frames"), [(5 / 48_000, 5), (-3 / 48_000, -3)])
def test_the_sense_input_is_late_only_beside_a_tap(late_s: float, frames: int) -> None:
    loaded, late = procedure(), {"late_s": late_s}
    for taps, expected in ((True, frames), (False, 0)):
        snapshot = wired(chain(), taps=taps, changes=late)
        reader = LiveReader(excite(loaded, snapshot), chain=snapshot, procedure=loaded.procedure)
        assert dict(zip(reader._names, reader._late, strict=True))["sense"] == expected


def test_what_is_not_wired_is_not_read() -> None:
    deaf, _ = measured(procedure(masks={}), without(chain(), "pressure"))
    assert deaf
    assert all(one.level_db is None and one.impedance_ohm for one in deaf)
    unsensed, _ = measured(procedure(masks={}), without(chain(), "sense", "loopback"))
    assert unsensed
    assert all(one.impedance_ohm is None for one in unsensed)
    assert any(one.level_db for one in unsensed)


def test_silence_tells_nothing() -> None:
    loaded, snapshot = procedure(), chain()
    reader = LiveReader(excite(loaded, snapshot), chain=snapshot, procedure=loaded.procedure)
    noise = np.random.default_rng(1).standard_normal((48_000, 3)).astype(np.float32) * 1e-4
    assert [reader.hear(noise[at : at + 1600]) for at in range(0, 48_000, 1600)] == [()] * 30
