"""Takes of the bench in software, made once for all tests of the Measure bay."""

from dataclasses import replace
from datetime import date
from functools import cache

from app.measure.events import Finished
from app.measure.excite import excite
from app.measure.make_take import Job
from app.measure.runner import Run
from app.procedure.loaded import LoadedProcedure
from app.procedure.shipped import demo_chain, find_procedure
from app.records.store import Store
from hardware.chain.snapshot import ChainSnapshot
from hardware.open_card import open_card


def make(
    store: Store | None = None,
    *,
    unit: str = "T4-W31-0417",
    procedure: LoadedProcedure | None = None,
    chain: ChainSnapshot | None = None,
) -> Finished:
    loaded, snapshot = procedure or find_procedure("line-check"), chain or demo_chain()
    card = open_card(snapshot)
    try:
        job = Job(procedure=loaded, chain=snapshot, unit=unit, lot="T4-W31", store=store)
        run = Run(job, excitation=excite(loaded, snapshot), card=card)
        *_, last = run.events()
    finally:
        card.close()
    assert isinstance(last, Finished)
    return last


@cache
def good() -> Finished:
    """A good unit against the line's masks."""
    return make()


@cache
def weak() -> Finished:
    """A unit with a weak magnet: does not conform."""
    return make(unit="T4-W31-0412", chain=virtual(faults={"weak_magnet": 0.6}))


@cache
def gated() -> Finished:
    """A good unit in a room with one reflection, gated before it."""
    loaded = find_procedure("line-check")
    geometry = loaded.procedure.geometry.model_copy(update={"gate_ms": 4.8})
    procedure = loaded.procedure.model_copy(update={"geometry": geometry})
    return make(
        procedure=replace(loaded, procedure=procedure),
        chain=virtual(reflection=0.5, reflection_delay_s=0.0052),
    )


@cache
def clipped() -> Finished:
    """A good unit before a preamplifier that was turned up too far."""
    snapshot = demo_chain()
    pressure = snapshot.chain.input.pressure
    assert pressure is not None
    loud = pressure.model_copy(update={"preamplifier_gain": 600.0})
    inputs = snapshot.chain.input.model_copy(update={"pressure": loud})
    chain = snapshot.chain.model_copy(update={"input": inputs})
    return make(chain=snapshot.model_copy(update={"chain": chain}))


@cache
def stale() -> Finished:
    """A good unit heard by a microphone past its term."""
    snapshot = demo_chain()
    pressure = snapshot.chain.input.pressure
    assert pressure is not None
    old = pressure.model_copy(
        update={"calibrated_on": date(2020, 1, 1), "recalibrate_after_days": 90}
    )
    inputs = snapshot.chain.input.model_copy(update={"pressure": old})
    chain = snapshot.chain.model_copy(update={"input": inputs})
    return make(chain=snapshot.model_copy(update={"chain": chain}))


def virtual(**changes: object) -> ChainSnapshot:
    """The demo's chain with another rig."""
    snapshot = demo_chain()
    rig = snapshot.chain.virtual
    assert rig is not None
    content = rig.model_dump() | changes
    made = type(rig).model_validate(content)
    chain = snapshot.chain.model_copy(update={"virtual": made})
    return snapshot.model_copy(update={"chain": chain})
