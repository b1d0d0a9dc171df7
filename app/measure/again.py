"""Derive a stored take again: as it was, with another gate, or with this version's eyes."""

from dataclasses import dataclass, replace

from app.errors import BadInputError
from app.measure.answers import Plan, plan_with_gate
from app.measure.derive import derive, prepare
from app.measure.derived import Derived
from app.measure.drive_level import stated_v_rms
from app.measure.events import Finished
from app.measure.excite import excite
from app.measure.keep_merged import is_merged, merge_again, merged_take
from app.measure.level_check import told_by_trial
from app.measure.make_take import Job, make_take
from app.measure.proven import marked
from app.measure.second import Second
from app.measure.unit_fit import fit_take
from app.procedure.loaded import LoadedProcedure
from app.procedure.schema import Procedure
from app.records.store import Store
from app.records.take import Take
from dsp import DspError
from dsp.excitation.excitation import Excitation
from dsp.response.impulse import ImpulseResponse
from hardware.card import Capture
from hardware.chain.snapshot import ChainSnapshot


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Opened:
    """A stored take with its recording, made ready to be derived as often as is liked.

    Attributes
    ----------
    take : Take
        As it was kept.
    capture : Capture
        Its recording.
    loaded : LoadedProcedure
        Its procedure with the audio that it played.
    excitation : Excitation
        What was played.
    plan : Plan
        What of the analysis depends on the excitation alone.
    """

    take: Take
    capture: Capture
    loaded: LoadedProcedure
    excitation: Excitation
    plan: Plan


def open_take(store: Store, take_id: str) -> Opened:
    """Fetch a take and all that deriving it again needs; once for as many gates as are tried.

    Parameters
    ----------
    store : Store
        Where it is kept.
    take_id : str
        Its id, or enough of its first digits.

    Returns
    -------
    Opened

    Raises
    ------
    BadInputError
        No such take, or its recording is missing, damaged or changed.
    """
    take = store.take(take_id)
    return _ready(
        take,
        capture=store.capture(take),
        loaded=LoadedProcedure(
            procedure=take.procedure, file=take.procedure.name, audio=store.audio(take)
        ),
    )


def derive_again(opened: Opened, *, store: Store, keep: bool = True) -> Finished:
    """Derive and judge an opened take with the procedure that it carries now.

    With the version that made it, and nothing changed, every figure is the same bit for bit.

    Parameters
    ----------
    opened : Opened
        From ``open_take``, or ``with_gate`` and ``with_procedure`` of that.
    store : Store
        Gives the reference take, and keeps the new one.
    keep : bool
        Whether it is kept, as a take of its own that names the one it came from.

    Returns
    -------
    Finished. A merged take is merged again from the takes that it names.

    Raises
    ------
    BadInputError
        A merged take that was given another procedure or gate.
    """
    take = opened.take
    if is_merged(take):
        return _merged_again(opened, store=store, keep=keep)
    derived = derive(
        opened.capture,
        procedure=opened.loaded,
        chain=take.chain,
        excitation=opened.excitation,
        prepared=opened.plan,
        second=second_of(
            opened.loaded.procedure, store=store, unit=take.unit, capture_sha256=take.capture_sha256
        ),
    )
    # What the quiet trial before the take had to say cannot be read from its recording.
    trial = tuple(sentence for sentence in take.warnings if told_by_trial(sentence))
    derived = replace(derived, warnings=(*trial, *derived.warnings))
    derived = marked(derived, store=store, chain=take.chain.chain, at=opened.capture.started_utc)
    job = Job(procedure=opened.loaded, chain=take.chain, unit=take.unit, lot=take.lot, store=store)
    again = make_take(
        job, capture=opened.capture, derived=derived, derived_from=take.derived_from or take.id
    )
    if keep:
        store.keep(again, capture=opened.capture, audio=opened.loaded.audio)
    return Finished(take=again, derived=derived, kept=keep)


def with_gate(opened: Opened, *, gate_ms: float | None) -> Opened:
    """Return the same take, to be read through another gate; None opens it wide.

    Parameters
    ----------
    gate_ms : float or None
        ms after the arrival; what comes later is cut.
    """
    geometry = opened.loaded.procedure.geometry.model_copy(update={"gate_ms": gate_ms})
    procedure = opened.loaded.procedure.model_copy(update={"geometry": geometry})
    return replace(
        opened,
        loaded=replace(opened.loaded, procedure=procedure),
        plan=plan_with_gate(opened.plan, gate_s=gate_ms / 1e3 if gate_ms else None),
    )


def with_procedure(opened: Opened, *, procedure: Procedure) -> Opened:
    """Return the same take, to be derived and judged as another revision says.

    What was played stays as it was: of the procedure all but its excitation counts, and of that
    the voltage which levels are referred to.
    """
    chain = opened.take.chain.chain
    merged = procedure.model_copy(update={"excitation": opened.loaded.procedure.excitation})
    stated = stated_v_rms(procedure, chain=chain)
    if stated != stated_v_rms(merged, chain=chain):
        level = merged.quantities.level.model_copy(update={"reference_v": stated})
        quantities = merged.quantities.model_copy(update={"level": level})
        merged = merged.model_copy(update={"quantities": quantities})
    return _ready(
        opened.take,
        capture=opened.capture,
        loaded=replace(opened.loaded, procedure=merged),
    )


def with_calibrations(opened: Opened, *, chain: ChainSnapshot) -> Opened:
    """Return the same take, to be read with what its inputs were found to be worth since.

    What drove the unit stays as it was when it played. A chain of another name, or one whose
    inputs are wired otherwise, is another chain: the take is then returned as it is.

    Parameters
    ----------
    chain : ChainSnapshot
        As it is now.
    """
    was, now = opened.take.chain.chain, chain.chain
    channels = {name: link.channel for name, link in was.input.wired.items()}
    if was.name != now.name or channels != {
        name: link.channel for name, link in now.input.wired.items()
    }:
        return opened
    read = opened.take.chain.model_copy(
        update={
            "chain": was.model_copy(update={"input": now.input}),
            "response": chain.response,
        }
    )
    return replace(opened, take=replace(opened.take, chain=read))


def second_of(
    procedure: Procedure,
    *,
    store: Store | None,
    unit: str | None,
    capture_sha256: str | None = None,
) -> Second | None:
    """Fetch the take that a procedure names as the second one, and fit its model.

    Parameters
    ----------
    procedure : Procedure
        Whose ``quantities.parameters.second_take`` counts.
    store : Store or None
        Where it is kept.
    unit : str or None
        Serial of the unit of the first take.
    capture_sha256 : str or None
        Hash of the first take's recording, where it is kept already.

    Returns
    -------
    Second, with a refusal where it does not serve; None where the procedure names none.
    """
    named = procedure.quantities.parameters.second_take
    if named is None:
        return None
    if store is None:
        return Second(take_id=named, refusal="no store is named that it could be kept in")
    try:
        opened = open_take(store, named)
        other = opened.take
        if other.capture_sha256 == capture_sha256:
            return Second(take_id=other.id, refusal="is this take itself")
        if other.unit != unit:
            refusal = f"is of unit {other.unit or 'without serial'}, not {unit or 'without serial'}"
            return Second(take_id=other.id, refusal=refusal)
        return Second(take_id=other.id, fit=fit_take(opened).fit)
    except (BadInputError, DspError) as error:
        return Second(take_id=named, refusal=str(error))


def impulse_of(opened: Opened) -> ImpulseResponse | None:
    """Return the impulse response of an opened take; the gate is laid over it, not in it.

    Returns
    -------
    ImpulseResponse, Pa/V; None where nothing was swept, or without a microphone.
    """
    return derive(
        opened.capture,
        procedure=opened.loaded,
        chain=opened.take.chain,
        excitation=opened.excitation,
        prepared=opened.plan,
    ).impulse


def _merged_again(opened: Opened, *, store: Store, keep: bool) -> Finished:
    take = opened.take
    if opened.loaded.procedure != take.procedure:
        raise BadInputError(
            f"take {take.id[:8]}",
            "is merged from others, and has no gate and no limits of its own",
            allowed="derive the far field again, then merge",
        )
    again = merged_take(merge_again(take, store=store), store=store)
    if keep:
        store.keep(again, capture=opened.capture, audio=opened.loaded.audio)
    derived = Derived(
        numbers=again.numbers,
        curves=again.curves,
        warnings=again.warnings,
        impulse=None,
        capture_offset=again.capture_offset,
        clock_offset_ppm=0.0,
        latency_source="none",
    )
    return Finished(take=again, derived=derived, kept=keep)


def _ready(take: Take, *, capture: Capture, loaded: LoadedProcedure) -> Opened:
    excitation = excite(loaded, take.chain)
    return Opened(
        take=take,
        capture=capture,
        loaded=loaded,
        excitation=excitation,
        plan=prepare(loaded, excitation=excitation),
    )
