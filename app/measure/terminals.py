"""The voltage across the unit and the current through it, in each topology of the chain file."""

from dataclasses import dataclass

import numpy as np

from app.measure.answers import Answers, Plan, advance
from dsp import Floats
from dsp.electrical.impedance import Impedance, Leads, impedance, impedance_from_source
from dsp.electrical.passive_delay import FEWEST_POINTS, PassiveDelay, passive_delay
from dsp.electrical.unit_voltage import known_source, unit_voltage
from dsp.excitation.segment import BroadbandSegment, LogSweepSegment, ToneSegment
from dsp.response.broadband_answer import drive_rms_v
from dsp.response.harmonics import Harmonics
from hardware.chain.budget import impedance_relative, source_relative
from hardware.chain.schema import Chain, SenseInput


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Terminals:
    """What is known at the terminals.

    Attributes
    ----------
    voltage : Harmonics
        V across the unit.
    current : Harmonics or None
        A through it.
    pressure : Harmonics or None
        Pa, on the same time.
    impedance : Impedance or None
        Where there is a current.
    late : PassiveDelay or None
        What the impedance told about the latency, where no wire did.
    """

    voltage: Harmonics
    current: Harmonics | None
    pressure: Harmonics | None
    impedance: Impedance | None
    late: PassiveDelay | None

    @property
    def alignment_s(self) -> float:
        """Standard uncertainty of the time between output and inputs, s; 0 where a wire told it."""
        return self.late.standard_uncertainty_s if self.late else 0.0


def at_terminals(answers: Answers, *, chain: Chain, plan: Plan) -> Terminals:
    """Find voltage, current and impedance from whatever the chain wires.

    Parameters
    ----------
    answers : Answers
        What each channel answered.
    chain : Chain
        Its terminal input is believed first; then the loopback times the amplifier's gain; then
        the excitation itself. The last two lose what drops across the sense resistor.
    plan : Plan
        Whose drive the last of the three is.
    """
    sense = chain.input.sense
    current, pressure = answers.current, answers.pressure
    if answers.terminal is not None:
        return _at_tap(answers, terminal=answers.terminal, chain=chain)
    source = _source(answers, chain=chain, plan=plan)
    if current is None or sense is None:
        return Terminals(voltage=source, current=None, pressure=pressure, impedance=None, late=None)
    late = None
    if answers.loopback is None:
        late = _late(source, current=current, plan=plan)
        current = advance(current, seconds=late.delay_s)
        pressure = pressure and advance(pressure, seconds=late.delay_s)
    return Terminals(
        voltage=unit_voltage(
            source, current=current, resistor_ohm=sense.resistor_ohm + sense.lead_ohm
        ),
        current=current,
        pressure=pressure,
        impedance=impedance_from_source(
            source,
            current=current,
            resistor_ohm=sense.resistor_ohm,
            gain_uncertainty=source_relative(chain),
            resistor_uncertainty=sense.resistor_uncertainty_percent / 200,
            delay_uncertainty_s=late.standard_uncertainty_s if late else 0.0,
            leads=_leads(sense),
        ),
        late=late,
    )


def _at_tap(answers: Answers, *, terminal: Harmonics, chain: Chain) -> Terminals:
    """Take leads and the delay of the sense input off what both inputs heard."""
    sense, current = chain.input.sense, answers.current
    if sense is None or current is None:
        return Terminals(
            voltage=terminal,
            current=current,
            pressure=answers.pressure,
            impedance=None,
            late=None,
        )
    current = advance(current, seconds=sense.late_s)
    voltage = terminal
    if sense.lead_ohm:
        voltage = unit_voltage(terminal, current=current, resistor_ohm=sense.lead_ohm)
    return Terminals(
        voltage=voltage,
        current=current,
        pressure=answers.pressure,
        impedance=impedance(
            terminal,
            current=current,
            relative_uncertainty=impedance_relative(chain),
            delay_uncertainty_s=sense.late_uncertainty_s / 2,
            leads=_leads(sense),
        ),
        late=None,
    )


def _leads(sense: SenseInput) -> Leads:
    return Leads(ohm=sense.lead_ohm, standard_ohm=sense.lead_uncertainty_ohm / 2)


def _late(source: Harmonics, *, current: Harmonics, plan: Plan) -> PassiveDelay:
    """Find the delay of the current; a few tones do not tell it, and leave a sample open."""
    if np.count_nonzero(np.isfinite(current.fundamental)) < FEWEST_POINTS:
        return PassiveDelay(
            delay_s=0.0,
            standard_uncertainty_s=1 / plan.excitation.sample_rate_hz,
            residual=np.nan,
            circuit="too few tones to tell",
        )
    return passive_delay(source, current=current)


def _source(answers: Answers, *, chain: Chain, plan: Plan) -> Harmonics:
    if answers.loopback is not None:
        gain = chain.output.drive.amplifier_gain
        return Harmonics(
            frequency_hz=answers.loopback.frequency_hz,
            amplitude=answers.loopback.amplitude * gain,
            noise=answers.loopback.noise * abs(gain),
        )
    heard = answers.current or answers.pressure
    grid = heard.frequency_hz if heard else np.empty(0)
    return known_source(
        frequency_hz=grid,
        source_v_rms=_drive_v_rms(plan, frequency_hz=grid),
        orders=heard.amplitude.shape[0] if heard else 1,
    )


def _drive_v_rms(plan: Plan, *, frequency_hz: Floats) -> Floats:
    """Return the drive's rms at each frequency, V, as the answers of a segment count it."""
    index = plan.indices[0]
    match plan.excitation.segments[index]:
        case LogSweepSegment(peak_v=peak):
            return np.full(frequency_hz.shape, peak / np.sqrt(2))
        case ToneSegment() as tones:
            order = np.argsort(tones.frequency_hz)
            peaks = np.interp(frequency_hz, tones.frequency_hz[order], tones.peak_v[order])
            return np.asarray(peaks / np.sqrt(2))
        case BroadbandSegment():
            return np.full(frequency_hz.shape, drive_rms_v(plan.excitation, segment_index=index))
