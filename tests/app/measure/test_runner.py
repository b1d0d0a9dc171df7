"""A run: its states in order, its ways out, and what is kept of it."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from app.errors import BadInputError
from app.measure.events import TRANSITIONS, Entered, Event, Finished, Played, State
from app.measure.excite import excite
from app.measure.make_take import Job
from app.measure.runner import Run
from dsp import DspError
from dsp.conformity.verdict import Verdict
from hardware.card import Capture, Card, PlayRequest, Progress
from hardware.errors import CardLostError
from hardware.virtual.card import VirtualCard
from tests.app.measure.bench_job import job, open_store, procedure


def run_of(job: Job, *, card: Card | None = None) -> Run:
    return Run(
        job,
        excitation=excite(job.procedure, job.chain),
        card=card or VirtualCard(job.chain),
    )


def states(events: list[Event]) -> list[State]:
    return [event.state for event in events if isinstance(event, Entered)]


def test_a_run_goes_through_its_states_in_order_and_ends_in_a_kept_take(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        events = list(run_of(job(store=store)).events())
        last = events[-1]
        assert isinstance(last, Finished)
        assert states(events) == [
            State.PLAYING,
            State.DERIVING,
            State.JUDGING,
            State.KEEPING,
            State.DONE,
        ]
        assert last.kept
        assert last.take.verdict is Verdict.CONFORMS
        assert store.take(last.take.id).numbers == last.take.numbers
        played = [event.played_s for event in events if isinstance(event, Played)]
        assert played == sorted(played)


def test_a_run_without_a_store_keeps_nothing_and_says_so() -> None:
    last = list(run_of(job()).events())[-1]
    assert isinstance(last, Finished)
    assert not last.kept


def test_a_stopped_run_ends_silent_and_keeps_nothing(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        run = run_of(job(store=store, real_time=True))
        seen: list[Event] = []
        for event in run.events():
            seen.append(event)
            if isinstance(event, Played):
                run.stop()
        assert states(seen) == [State.PLAYING, State.STOPPED]
        assert store.count() == 0


class BrokenCard:
    """A card that goes away while it plays."""

    def play(
        self,
        request: PlayRequest,  # noqa: ARG002  it breaks whatever it is asked
        *,
        on_progress: Callable[[Progress], None],  # noqa: ARG002
        should_stop: Callable[[], bool],  # noqa: ARG002
    ) -> Capture:
        raise CardLostError("the card stopped answering")

    def close(self) -> None: ...


def test_a_lost_card_fails_the_run_and_keeps_nothing(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        run = run_of(job(store=store), card=BrokenCard())
        with pytest.raises(CardLostError, match="stopped answering"):
            list(run.events())
        assert run.state is State.FAILED
        assert store.count() == 0


class ListeningCard:
    """Plays until it is told to stop, and remembers that it was told."""

    def __init__(self) -> None:
        self.stopped = False

    def play(
        self,
        request: PlayRequest,
        *,
        on_progress: Callable[[Progress], None],
        should_stop: Callable[[], bool],
    ) -> Capture:
        frames = request.output.size
        while not should_stop():
            silence = np.zeros((1, request.input_channels), dtype=np.float32)
            on_progress(Progress(frames_played=0, frames=frames, fresh=silence))
        self.stopped = True
        raise CardLostError("never mind")

    def close(self) -> None: ...


def test_whoever_stops_listening_stops_the_sound() -> None:
    card = ListeningCard()
    events = run_of(job(), card=card).events()
    next(events)
    next(events)
    events.close()  # type: ignore[attr-defined]  # it is a generator
    assert card.stopped


def test_every_state_but_the_last_ones_has_a_way_out() -> None:
    ends = {state for state, after in TRANSITIONS.items() if not after}
    assert ends == {State.DONE, State.STOPPED, State.FAILED}
    assert TRANSITIONS.keys() == set(State)


def test_clipping_leaves_the_verdict_open() -> None:
    last = list(run_of(narrow_input(job(), full_scale_v=0.02)).events())[-1]
    assert isinstance(last, Finished)
    assert last.take.verdict is Verdict.NOT_DECIDED
    assert any("clipped" in warning for warning in last.take.warnings)


def test_a_relative_mask_compares_with_the_reference_take(tmp_path: Path) -> None:
    loaded = procedure(
        masks={
            "same": {
                "quantity": "level",
                "upper": [[100.0, 0.5], [10_000.0, 0.5]],
                "lower": [[100.0, -0.5], [10_000.0, -0.5]],
                "relative_to": "reference",
            }
        }
    )
    with open_store(tmp_path) as store:
        first = list(run_of(job(store=store, loaded=loaded)).events())[-1]
        assert isinstance(first, Finished)
        assert first.take.verdict is Verdict.NOT_DECIDED
        assert first.take.masks["same"].reason == "no reference take"
        store.set_reference(first.take.id, by="M. Test", why="middle of the lot")
        again = list(run_of(job(store=store, loaded=loaded)).events())[-1]
        assert isinstance(again, Finished)
        assert again.take.verdict is Verdict.CONFORMS
        assert again.take.reference_take == first.take.id
        weak = job(store=store, loaded=loaded, faults={"weak_magnet": 1.0})
        other = list(run_of(weak).events())[-1]
        assert isinstance(other, Finished)
        assert other.take.verdict is Verdict.DOES_NOT_CONFORM


def test_what_the_chain_must_not_play_never_becomes_a_run() -> None:
    loud = procedure(excitation={"kind": "log_sweep", "level_v_rms": 7.0})
    with pytest.raises(BadInputError, match=r"level_v_rms: too high.*8\.485 V peak"):
        run_of(job(loaded=loud))


def test_a_capture_without_the_excitation_fails_the_run() -> None:
    class Deaf(BrokenCard):
        def play(
            self,
            request: PlayRequest,
            *,
            on_progress: Callable[[Progress], None],
            should_stop: Callable[[], bool],
        ) -> Capture:
            heard = VirtualCard(job().chain).play(
                request, on_progress=on_progress, should_stop=should_stop
            )
            return Capture(
                samples=heard.samples * 0,
                sample_rate_hz=heard.sample_rate_hz,
                started_utc=heard.started_utc,
                card=heard.card,
            )

    with pytest.raises(DspError, match="silent"):
        list(run_of(job(), card=Deaf()).events())


def narrow_input(job: Job, *, full_scale_v: float) -> Job:
    """The same job with a pressure input that clips early."""
    pressure = job.chain.chain.input.pressure
    assert pressure is not None
    narrowed = pressure.model_copy(update={"full_scale_v": full_scale_v})
    inputs = job.chain.chain.input.model_copy(update={"pressure": narrowed})
    chain = job.chain.chain.model_copy(update={"input": inputs})
    return replace(job, chain=job.chain.model_copy(update={"chain": chain}))


def test_a_level_check_turns_the_drive_down_and_keeps_the_level_s_reference() -> None:
    plain = list(run_of(job()).events())[-1]
    checked = replace(narrow_input(job(), full_scale_v=0.02), check_levels=True)
    events = list(run_of(checked).events())
    assert states(events)[:2] == [State.CHECKING, State.PLAYING]
    assert isinstance(plain, Finished)
    last = events[-1]
    assert isinstance(last, Finished)
    assert any("below the procedure" in warning for warning in last.take.warnings)
    assert not any("clipped:" in warning for warning in last.take.warnings)
    played = last.take.procedure.excitation.level_v_rms
    assert played is not None
    assert played < 2.0
    assert last.take.procedure.quantities.level.reference_v == 2.0
    assert last.take.verdict is Verdict.CONFORMS
    # The same unit at the same stated voltage, but for what it compresses at the higher drive.
    level, reference = last.take.curves["level"], plain.take.curves["level"]
    inside = (level.frequency_hz > 300) & (level.frequency_hz < 10_000)
    np.testing.assert_allclose(level.value[inside], reference.value[inside], atol=0.1)


def test_a_level_check_that_fits_changes_nothing() -> None:
    last = list(run_of(replace(job(), check_levels=True)).events())[-1]
    assert isinstance(last, Finished)
    assert last.take.procedure.excitation.level_v_rms == 2.0
    assert last.take.warnings == ()
