"""The lumped model of a stored take's unit, fitted to the impedance that its recording tells."""

from dataclasses import dataclass

import numpy as np

from app.errors import BadInputError
from app.measure.again import Opened
from app.measure.answers import Plan, answers
from app.measure.channels import channels
from app.measure.home import bring_home
from app.measure.scene import Scene
from app.measure.terminals import Terminals, at_terminals
from dsp import Floats, ValidRange
from dsp.electrical.impedance import Impedance
from dsp.parameters.fit import LumpedFit, fit_lumped
from dsp.parameters.readings import own_noise
from dsp.response.order_window import OrderWindow, brief

_WIDE_TO_HZ = 1000.0  # about where the reading of a sweep goes over to its brief window


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Measured:
    """The impedance of a recording, with what its noise is apart from the chain's error.

    Attributes
    ----------
    impedance : Impedance
        At all points that were read.
    valid : ValidRange
        Where it may be believed.
    independent : (m,) array
        How much of each point's noise is its own.
    """

    impedance: Impedance
    valid: ValidRange
    independent: Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class UnitFit:
    """A take's impedance and the model behind it; ``take_id`` says whose."""

    take_id: str
    measured: Measured
    fit: LumpedFit


def fit_take(opened: Opened) -> UnitFit:
    """Fit the model to a stored take.

    Raises
    ------
    BadInputError
        The take has no current.
    DspError
        Too few points, or no peak.
    """
    measured = impedance_of(opened)
    return UnitFit(
        take_id=opened.take.id,
        measured=measured,
        fit=fit_lumped(measured.impedance, valid=measured.valid, independent=measured.independent),
    )


def impedance_of(opened: Opened) -> Measured:
    """Read the impedance alone: without the pressure, which takes most of the time.

    Raises
    ------
    BadInputError
        The take has no current.
    """
    chain = opened.take.chain.chain
    deaf = chain.model_copy(update={"input": chain.input.model_copy(update={"pressure": None})})
    home = bring_home(channels(opened.capture, chain=deaf), excitation=opened.excitation)
    terminals = at_terminals(
        answers(home.recording, plan=opened.plan), chain=chain, plan=opened.plan
    )
    scene = Scene(
        terminals=terminals,
        recording=home.recording,
        excitation=opened.excitation,
        segment=opened.excitation.segments[opened.plan.indices[0]],
        procedure=opened.loaded.procedure,
        chain=opened.take.chain,
    )
    return _measured(scene, terminals=terminals, plan=opened.plan)


def _measured(scene: Scene, *, terminals: Terminals, plan: Plan) -> Measured:
    found, current = terminals.impedance, terminals.current
    if found is None or current is None:
        raise BadInputError(
            "parameters", "the take has no current", allowed="a chain with a sense resistor"
        )
    return Measured(
        impedance=found,
        valid=scene.valid_for(current, acoustic=False),
        independent=_own(found.frequency_hz, plan=plan),
    )


def _own(frequency_hz: Floats, *, plan: Plan) -> Floats:
    # Tones and lines have a stretch of the recording each; points of a sweep share its window.
    if not plan.sweep:
        return np.ones(frequency_hz.shape)
    window, rate_hz = plan.sweep[0].orders[0].window, plan.excitation.sample_rate_hz
    short = brief(window, order=1, sample_rate_hz=rate_hz)
    wide_own, brief_own = (
        own_noise(frequency_hz, record_s=_length_s(one, rate_hz)) for one in (window, short)
    )
    return np.where(frequency_hz < _WIDE_TO_HZ, wide_own, brief_own)


def _length_s(window: OrderWindow, rate_hz: float) -> float:
    return float(np.sum(window.shape**2)) / rate_hz
