"""What stands on the wire: volts, sound level and headroom, from what the inputs hear.

Levels are those of a sine with the peak that was heard: rms = peak / √2.
"""

import math

from app.desktop.presenters.figures import minus
from app.desktop.presenters.heard import Heard
from app.desktop.presenters.strip_state import Live
from hardware.chain.schema import Chain, LoopbackInput, PressureInput, SenseInput, TerminalInput

SPAN_DB = 60.0  # of the bar on the wire while a take plays
IDLE_SPAN_DB = 120.0  # while silent, so that noise can be seen, and the lack of it
_CREST = math.sqrt(2)
_PA_0 = 20e-6  # Pa, 0 dB SPL (IEC 61672-1)
_SILENT = Live(text="silent")

Input = PressureInput | SenseInput | TerminalInput | LoopbackInput


def output_live(chain: Chain, heard: Heard, *, drive_v_rms: float | None) -> Live:
    """Return the level at the output's jack: heard through the loopback, otherwise as asked."""
    if not heard.sounding:
        return _SILENT
    drive, loop = chain.output.drive, chain.input.loopback
    dbfs, peak = None, None
    if loop is not None and (now := heard.level(loop.channel)) is not None:
        offset = _db(loop.full_scale_v / drive.full_scale_v)
        dbfs, peak = now + offset, (heard.peak(loop.channel) or now) + offset
    elif drive_v_rms is not None:
        dbfs = _db(drive_v_rms * _CREST / (drive.full_scale_v * abs(drive.amplifier_gain)))
        peak = dbfs
    if dbfs is None or peak is None:
        return Live()
    return Live(text=_dbfs(dbfs), most=_left(peak), fill=_fill(dbfs, heard), tick=_fill(peak, heard))


def terminals_live(chain: Chain, heard: Heard, *, drive_v_rms: float | None) -> Live:
    """Return the voltage across the unit: measured where it is wired, otherwise as asked."""
    if not heard.sounding:
        return _SILENT
    most = chain.output.drive.max_terminal_v_rms
    volts = peak = drive_v_rms
    wire = chain.input.terminal
    if wire is not None and (now := heard.level(wire.channel)) is not None:
        volts = _volts(wire, now) / wire.gain
        peak = _volts(wire, heard.peak(wire.channel) or now) / wire.gain
    if volts is None or peak is None:
        return Live()
    return Live(
        text=_si(volts, "V"),
        most=f"of {most:.3g} V",
        fill=_fill(_db(volts / most), heard),
        tick=_fill(_db(peak / most), heard),
    )


def current_text(chain: Chain, heard: Heard) -> str:
    """Return the current through the sense resistor, in words."""
    sense = chain.input.sense
    if sense is None:
        return "no current"
    now = heard.level(sense.channel)
    if not heard.sounding or now is None:
        return "current"
    amperes = _volts(sense, now) / sense.gain / sense.resistor_ohm
    over = ", overload" if sense.channel in heard.over else ""
    return f"current {_si(amperes, 'A')}{over}"


def microphone_live(mic: PressureInput, heard: Heard) -> Live:
    """Return the sound level at the microphone, and the most that its input can take."""
    now, peak = heard.level(mic.channel), heard.peak(mic.channel)
    if now is None or peak is None:
        return Live()
    most_db = _spl(mic, 0.0)
    return Live(
        text=f"{_spl(mic, now):.{1 if heard.sounding else 0}f} dB",
        most=f"of {most_db:.0f}" if heard.sounding else "",
        fill=_fill(now, heard),
        tick=_fill(peak, heard),
        over=mic.channel in heard.over,
    )


def preamplifier_live(mic: PressureInput, heard: Heard) -> Live:
    """Return the voltage that the preamplifier gives to the card."""
    now, peak = heard.level(mic.channel), heard.peak(mic.channel)
    if now is None or peak is None:
        return Live()
    return Live(
        text=_si(_volts(mic, now), "V"),
        fill=_fill(now, heard),
        tick=_fill(peak, heard),
        over=mic.channel in heard.over,
    )


def input_live(channel: int, heard: Heard) -> Live:
    """Return the level at an input, and how much is left to its rail."""
    now, peak = heard.level(channel), heard.peak(channel)
    if now is None or peak is None:
        return Live()
    over = channel in heard.over
    return Live(
        text=_dbfs(now),
        most="overload" if over else _left(peak) if heard.sounding else "",
        fill=_fill(now, heard),
        tick=_fill(peak, heard),
        over=over,
    )


def _volts(link: Input, dbfs: float) -> float:
    # V rms at the jack, of a sine with this peak.
    return float(link.full_scale_v * 10 ** (dbfs / 20) / _CREST)


def _spl(mic: PressureInput, dbfs: float) -> float:
    pascals = _volts(mic, dbfs) / mic.preamplifier_gain / mic.sensitivity_v_per_pa
    return _db(pascals / _PA_0)


def _db(ratio: float) -> float:
    return 20 * math.log10(ratio) if ratio > 0 else -math.inf


def _fill(dbfs: float, heard: Heard) -> float:
    return min(1.0, max(0.0, 1 + dbfs / (SPAN_DB if heard.sounding else IDLE_SPAN_DB)))


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
