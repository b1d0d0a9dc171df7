"""From one capture to every quantity: in the order of the procedure, without judging any."""

from dataclasses import replace

from app.measure.acoustic import acoustic
from app.measure.answers import Plan, answers, plan
from app.measure.audible import audible
from app.measure.channels import channels
from app.measure.derived import Derived
from app.measure.distortion import HIGHEST_ORDER, distortion
from app.measure.doubts import doubts, lost_samples
from app.measure.electrical import electrical
from app.measure.home import bring_home
from app.measure.intermodulation import intermodulation
from app.measure.irregular import irregular, read_irregular
from app.measure.parameters import parameters
from app.measure.repeats import first_part_repeats
from app.measure.scene import Scene, microphone_of
from app.measure.second import Second
from app.measure.silence import silence
from app.measure.terminals import at_terminals
from app.procedure.loaded import LoadedProcedure
from app.procedure.schema import Procedure
from dsp import Curve, Number
from dsp.excitation.excitation import Excitation
from dsp.response.impulse import ImpulseResponse
from hardware.card import Capture
from hardware.chain.snapshot import ChainSnapshot


def derive(
    capture: Capture,
    *,
    procedure: LoadedProcedure,
    chain: ChainSnapshot,
    excitation: Excitation,
    prepared: Plan | None = None,
    second: Second | None = None,
) -> Derived:
    """Derive everything that the chain and the procedure allow.

    Parameters
    ----------
    capture : Capture
        The raw recording.
    procedure, chain : LoadedProcedure, ChainSnapshot
        What was asked for, and through what it was recorded.
    excitation : Excitation
        What was played: the one that ``excite`` makes of the same two.
    prepared : Plan or None
        From ``prepare`` for the same excitation; None: made here.
    second : Second or None
        The take that ``quantities.parameters.second_take`` names.

    Returns
    -------
    Derived

    Raises
    ------
    BadInputError
        The capture has too few channels, or the chain wires none.
    DspError
        The excitation is not in it, or it ends too early.
    """
    reading = prepared or prepare(procedure, excitation=excitation)
    doubt = doubts(capture, chain=chain.chain)
    home = bring_home(channels(capture, chain=chain.chain), excitation=excitation)
    found = answers(home.recording, plan=reading)
    segment = excitation.segments[reading.indices[0]]
    terminals = at_terminals(found, chain=chain.chain, plan=reading)
    scene = Scene(
        terminals=terminals,
        recording=home.recording,
        excitation=excitation,
        segment=segment,
        procedure=procedure.procedure,
        chain=chain,
        noise=found.noise,
        defects=read_irregular(
            home.recording,
            rest=found.rest,
            excitation=excitation,
            noise=found.noise,
            response=microphone_of(chain),
        ),
        second=second,
    )
    curves: dict[str, Curve] = {}
    numbers: dict[str, Number] = {}
    model, rests_on = None, dict[str, str]()
    lost = lost_samples(home.recording, capture=capture, chain=chain.chain)
    warnings = [*([lost] if lost else []), *doubt.warnings]
    for family in (
        acoustic,
        electrical,
        parameters,
        distortion,
        intermodulation,
        irregular,
        audible,
        silence,
    ):
        of_family = family(scene)
        curves |= of_family.curves
        numbers |= of_family.numbers
        warnings += of_family.warnings
        model = of_family.model or model
        rests_on |= of_family.rests_on
    numbers["clock_offset_ppm"] = Number(
        value=home.recording.clock_offset_ppm, unit="ppm", how="recorder over player, undone"
    )
    return Derived(
        numbers=numbers,
        curves=curves,
        warnings=tuple(warnings),
        impulse=_on_time(found.impulse, late_s=terminals.late.delay_s if terminals.late else 0.0),
        capture_offset=home.offset,
        clock_offset_ppm=home.recording.clock_offset_ppm,
        latency_source=home.recording.latency_source,
        untrusted=lost or doubt.untrusted,
        defects=scene.defects,
        model=model,
        rests_on=rests_on,
    )


def prepare(procedure: LoadedProcedure, *, excitation: Excitation) -> Plan:
    """Prepare the analysis: what depends on the excitation alone need not wait for the capture."""
    asked = procedure.procedure
    gate_ms = asked.geometry.gate_ms
    return plan(
        excitation,
        indices=range(first_part_repeats(asked)),
        orders=orders_asked(asked),
        per_octave=asked.quantities.points_per_octave,
        gate_s=gate_ms / 1e3 if gate_ms else None,
    )


def orders_asked(procedure: Procedure) -> int:
    """Return the highest order that any quantity of a procedure needs."""
    quantities = procedure.quantities
    return max(HIGHEST_ORDER, *quantities.thd.orders, *quantities.high_order.orders)


def _on_time(impulse: ImpulseResponse | None, *, late_s: float) -> ImpulseResponse | None:
    """Count time from the output, to the whole sample, also where the impedance told the delay."""
    if impulse is None:
        return None
    late = round(late_s * impulse.sample_rate_hz)
    return replace(impulse, zero_index=impulse.zero_index + late)
