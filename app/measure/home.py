"""Bring a capture home: its channels in physical units, on the clock and the time of the output."""

from dataclasses import dataclass

from app.measure.channels import Channels
from dsp import Floats
from dsp.excitation.excitation import Excitation
from dsp.response.align import find_start
from dsp.response.clock import clock_offset
from dsp.response.recording import DelaySource, Recording
from dsp.response.retime import retime

# Over a whole excitation, an offset that moves nothing by more than this part of a sample is
# below what the marks can tell, and resampling for it would only cost time.
_NEGLIGIBLE_SAMPLES = 2e-4


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Home:
    """A recording at home, and where in the capture it was found.

    Attributes
    ----------
    recording : Recording
        What the analyses start from.
    offset : int
        Frame of the capture at which the excitation starts.
    """

    recording: Recording
    offset: int


def bring_home(channels: Channels, *, excitation: Excitation) -> Home:
    """Find start and clock of a capture, and undo what is found.

    The most direct channel that is wired tells both: a loopback or the terminals to a fraction
    of a sample. Through the unit itself only whole samples are known; the fraction is left to
    the impedance, which is passive at one delay alone (``at_terminals``).

    Parameters
    ----------
    channels : Channels
        As recorded.
    excitation : Excitation
        What was played.

    Returns
    -------
    Home

    Raises
    ------
    DspError
        Nothing like the excitation is in it, or it ends too early.
    """
    guide = channels.clockwork
    start = find_start(guide, excitation=excitation)
    clock = clock_offset(start.marks, excitation=excitation)
    length = excitation.samples.size
    moved = abs(clock.ppm) * 1e-6 * length
    ppm = clock.ppm if moved > _NEGLIGIBLE_SAMPLES else 0.0
    whole = round(start.sample)

    def home(samples: Floats | None) -> Floats | None:
        if samples is None:
            return None
        return retime(samples, start_sample=float(whole), clock_offset_ppm=ppm, length=length)

    direct = channels.loopback_v is not None or channels.terminal_v is not None
    fraction = start.sample - whole if start.sharp and direct else 0.0
    recording = Recording(
        sample_rate_hz=excitation.sample_rate_hz,
        pressure_pa=home(channels.pressure_pa),
        current_a=home(channels.current_a),
        terminal_v=home(channels.terminal_v),
        loopback_v=home(channels.loopback_v),
        ambient_pa=home(channels.ambient_pa),
        latency_s=fraction / excitation.sample_rate_hz,
        latency_source=_source(channels),
        clock_offset_ppm=ppm,
    )
    return Home(recording=recording, offset=whole)


def _source(channels: Channels) -> DelaySource:
    if channels.loopback_v is not None:
        return "loopback"
    if channels.terminal_v is not None:
        return "terminal"
    return "impedance" if channels.current_a is not None else "onset"
