"""All that the quantities of one capture are derived from, and where each may be believed."""

from dataclasses import dataclass

import numpy as np

from app.measure.second import Second
from app.measure.terminals import Terminals
from app.procedure.schema import Procedure
from dsp import ValidRange
from dsp.acoustic.microphone import MicrophoneResponse, correct_microphone
from dsp.acoustic.valid_range import valid_range
from dsp.defects.reading import DefectReading
from dsp.excitation.excitation import Excitation
from dsp.excitation.segment import BroadbandSegment, LogSweepSegment, Segment, ToneSegment
from dsp.response.harmonics import Harmonics
from dsp.response.quiet_noise import QuietNoise
from dsp.response.recording import Recording
from hardware.chain.snapshot import ChainSnapshot


def microphone_of(chain: ChainSnapshot) -> MicrophoneResponse | None:
    """Return the microphone's own response, where its supplier gave one."""
    table = chain.response
    if table is None:
        return None
    return MicrophoneResponse(
        frequency_hz=np.asarray(table.hz),
        level_db=np.asarray(table.db),
        phase_deg=np.asarray(table.deg) if table.deg else None,
    )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Scene:
    """One capture, read.

    Attributes
    ----------
    terminals : Terminals
        Voltage, current, impedance, and the pressure on the same time.
    recording : Recording
        At home.
    excitation, segment : Excitation, Segment
        What was played, and the part that the curves are from.
    procedure, chain : Procedure, ChainSnapshot
        What was asked, and through what it was recorded.
    noise : QuietNoise or None
        Of the pressure; None where reading it did not need it.
    defects : DefectReading or None
        What is irregular in the pressure; None where neither a sweep nor long tones were heard.
    second : Second or None
        The take that the procedure names beside this one.
    """

    terminals: Terminals
    recording: Recording
    excitation: Excitation
    segment: Segment
    procedure: Procedure
    chain: ChainSnapshot
    noise: QuietNoise | None = None
    defects: DefectReading | None = None
    second: Second | None = None

    @property
    def microphone(self) -> MicrophoneResponse | None:
        """The microphone's own response, where its supplier gave one."""
        return microphone_of(self.chain)

    @property
    def pressure(self) -> Harmonics | None:
        """Pressure with the microphone's own response taken out."""
        heard, response = self.terminals.pressure, self.microphone
        if heard is None or response is None:
            return heard
        return correct_microphone(heard, response=response)

    @property
    def span(self) -> ValidRange:
        """What the excitation covers."""
        match self.segment:
            case LogSweepSegment(start_hz=low, stop_hz=high):
                return ValidRange(low_hz=low, high_hz=high)
            case ToneSegment(frequency_hz=tones):
                return ValidRange(low_hz=float(tones.min()), high_hz=float(tones.max()))
            case BroadbandSegment(low_hz=low, high_hz=high):
                return ValidRange(low_hz=low, high_hz=high)

    def valid_for(self, channel: Harmonics, *, acoustic: bool) -> ValidRange:
        """Return where a fundamental holds; gate and microphone bind the pressure alone."""
        gate_ms = self.procedure.geometry.gate_ms if acoustic else None
        response = self.microphone if acoustic else None
        return valid_range(
            channel,
            snr_db=self.procedure.quantities.snr_db,
            excitation=self.span,
            sample_rate_hz=self.excitation.sample_rate_hz,
            gate_s=gate_ms / 1e3 if gate_ms else None,
            microphone=response.valid() if response else None,
        )
