"""Takes of the unit in software on its baffle: close to its diaphragm, and far off in a room."""

from app.measure.events import Finished
from app.measure.excite import excite
from app.measure.make_take import Job
from app.measure.runner import Run
from app.records.store import Store
from app.records.take import Take
from hardware.virtual.card import VirtualCard
from tests.app.measure.bench_job import job, procedure

SD_CM2 = 85.0  # of the T130; ka = 1 at 1059 Hz
GAP_M = 0.01
ECHO_S = 0.006
GATE_MS = 5.8


def kept(wanted: Job) -> Take:
    excitation = excite(wanted.procedure, wanted.chain)
    run = Run(wanted, excitation=excitation, card=VirtualCard(wanted.chain))
    last = list(run.events())[-1]
    assert isinstance(last, Finished)
    return last.take


def near_take(*, store: Store | None = None, volts: float = 0.2, **geometry: object) -> Take:
    """Quiet and 10 mm in front of the middle."""
    asked = {"distance_m": GAP_M, "mounting": "near_field", "radiator_cm2": SD_CM2, **geometry}
    played = {"kind": "log_sweep", "start_hz": 10.0, "duration_s": 1.0, "level_v_rms": volts}
    loaded = procedure(excitation=played, geometry=asked, masks={})
    return kept(job(store=store, loaded=loaded, linear=True, distance_m=GAP_M))


def far_take(*, store: Store | None = None, **geometry: object) -> Take:
    """At 1 m, with a reflection of 0.5 that the gate cuts."""
    played = {"kind": "log_sweep", "start_hz": 10.0, "duration_s": 1.0, "level_v_rms": 2.0}
    asked = {"gate_ms": GATE_MS, **geometry}
    loaded = procedure(excitation=played, geometry=asked, masks={})
    room = {"reflection": 0.5, "reflection_delay_s": ECHO_S}
    return kept(job(store=store, loaded=loaded, linear=True, **room))
