"""What stands on the wire: volts, sound level and headroom, from what the inputs hear.

Levels are those of a sine with the peak that was heard: rms = peak / √2.
"""

import math

from app.desktop.presenters.figures import minus
from app.desktop.presenters.heard import Heard, Peaks
from app.desktop.presenters.strip_state import Live
from hardware.chain.schema import (
    AmbientInput,
    Chain,
    LoopbackInput,
    PressureInput,
    SenseInput,
    TerminalInput,
)

SPAN_DB = 60.0  # of the bar on the wire while a take plays
IDLE_SPAN_DB = 120.0  # while silent, so that noise can be seen, and the lack of it
_CREST = math.sqrt(2)
_PA_0 = 20e-6  # Pa, 0 dB SPL (IEC 61672-1)
_SILENT = Live(text="silent")

Input = PressureInput | SenseInput | TerminalInput | LoopbackInput | AmbientInput


def output_live(chain: Chain, heard: Heard, *, drive_v_rms: float | None) -> Live:
    """Return the level at the output's jack: heard through the loopback, otherwise as asked."""
    if not heard.sounding:
        return _SILENT
    drive, loop = chain.output.drive, chain.input.loopback
    peaks = None
    if loop is not None and (back := heard.of(loop.channel)) is not None:
        offset = _db(loop.full_scale_v / drive.full_scale_v)
        peaks = Peaks(now=back.now + offset, held=back.held + offset)
    elif drive_v_rms is not None:
        dbfs = _db(drive_v_rms * _CREST / (drive.full_scale_v * abs(drive.amplifier_gain)))
        peaks = Peaks(now=dbfs, held=dbfs)
    if peaks is None:
        return Live()
    return _bar(peaks, heard, text=_dbfs(peaks.now), most=_left(peaks.held))


def terminals_live(chain: Chain, heard: Heard, *, drive_v_rms: float | None) -> Live:
    """Return the voltage across the unit: measured where it is wired, otherwise as asked."""
    if not heard.sounding:
        return _SILENT
    most, wire = chain.output.drive.max_terminal_v_rms, chain.input.terminal
    volts = held = drive_v_rms
    if wire is not None and (peaks := heard.of(wire.channel)) is not None:
        volts, held = (_volts(wire, one) / wire.gain for one in (peaks.now, peaks.held))
    if volts is None or held is None:
        return Live()
    below = Peaks(now=_db(volts / most), held=_db(held / most))
    return _bar(below, heard, text=_si(volts, "V"), most=f"of {most:.3g} V")


def current_text(chain: Chain, heard: Heard) -> str:
    """Return the current through the sense resistor, in words."""
    sense = chain.input.sense
    if sense is None:
        return "no current"
    peaks = heard.of(sense.channel)
    if not heard.sounding or peaks is None:
        return "current"
    amperes = _volts(sense, peaks.now) / sense.gain / sense.resistor_ohm
    over = ", overload" if sense.channel in heard.over else ""
    return f"current {_si(amperes, 'A')}{over}"


def microphone_live(mic: PressureInput, heard: Heard) -> Live:
    """Return the sound level at the microphone, and the most that its input can take."""
    if (peaks := heard.of(mic.channel)) is None:
        return Live()
    text = f"{_spl(mic, peaks.now):.{1 if heard.sounding else 0}f} dB"
    most = f"of {_spl(mic, 0.0):.0f}" if heard.sounding else ""
    return _bar(peaks, heard, text=text, most=most, over=mic.channel in heard.over)


def second_live(second: AmbientInput, heard: Heard) -> Live:
    """Return the sound level at the second microphone; as rough as its sensitivity is."""
    if (peaks := heard.of(second.channel)) is None:
        return Live()
    level = _db(_volts(second, peaks.now) / second.sensitivity_v_per_pa / _PA_0)
    return _bar(peaks, heard, text=f"{level:.0f} dB", over=second.channel in heard.over)


def preamplifier_live(mic: PressureInput, heard: Heard) -> Live:
    """Return the voltage that the preamplifier gives to the card."""
    if (peaks := heard.of(mic.channel)) is None:
        return Live()
    text = _si(_volts(mic, peaks.now), "V")
    return _bar(peaks, heard, text=text, over=mic.channel in heard.over)


def input_live(channel: int, heard: Heard) -> Live:
    """Return the level at an input, and how much is left to its rail."""
    if (peaks := heard.of(channel)) is None:
        return Live()
    over = channel in heard.over
    most = "overload" if over else _left(peaks.held) if heard.sounding else ""
    return _bar(peaks, heard, text=_dbfs(peaks.now), most=most, over=over)


def _bar(peaks: Peaks, heard: Heard, *, text: str, most: str = "", over: bool = False) -> Live:
    span = SPAN_DB if heard.sounding else IDLE_SPAN_DB
    fill, tick = (min(1.0, max(0.0, 1 + dbfs / span)) for dbfs in (peaks.now, peaks.held))
    return Live(text=text, most=most, fill=fill, tick=tick, over=over)


def _volts(link: Input, dbfs: float) -> float:
    # V rms at the jack, of a sine with this peak.
    return float(link.full_scale_v * 10 ** (dbfs / 20) / _CREST)


def _spl(mic: PressureInput, dbfs: float) -> float:
    pascals = _volts(mic, dbfs) / mic.preamplifier_gain / mic.sensitivity_v_per_pa
    return _db(pascals / _PA_0)


def _db(ratio: float) -> float:
    return 20 * math.log10(ratio) if ratio > 0 else -math.inf


def _dbfs(dbfs: float) -> str:
    return minus(f"{dbfs:.1f} dBFS") if dbfs > -SPAN_DB else minus(f"{dbfs:.0f} dBFS")


def _left(dbfs: float) -> str:
    return f"{max(0.0, -dbfs):.0f} left"


def _si(value: float, unit: str) -> str:
    # Three digits while it is loud; the last one would only flicker below a thousandth.
    for factor, prefix in ((1.0, ""), (1e-3, "m"), (1e-6, "µ")):
        if value >= factor:
            scaled = value / factor
            places = 0 if scaled >= 100 else 1 if scaled >= 10 else 2
            return f"{scaled:.{places if prefix != 'µ' else 0}f} {prefix}{unit}"
    return f"0 {unit}"
