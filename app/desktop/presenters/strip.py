"""The chain as the strip shows it: every link's worth, health, and level on the wire."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from app.desktop.presenters import strip_levels as levels
from app.desktop.presenters.figures import value_text
from app.desktop.presenters.heard import Heard
from app.desktop.presenters.strip_health import NOT_WIRED, Health, health, lost, settling
from app.desktop.presenters.strip_state import LinkState, Live, PathState, StripState, Wire
from app.report.units import short_unit
from hardware.chain.schema import Chain

_DB_A_PERCENT = 8.686 / 100  # 20 log10(e) / 100, for small ones


@dataclass(frozen=True, slots=True, kw_only=True)
class OnBench:
    """What the strip tells beside the chain itself.

    Attributes
    ----------
    today : date
        From which ages count.
    unit, lot : str or None
        What lies on the bench.
    distance_m : float or None
        Of the microphone, m.
    drive_v_rms : float or None
        What the procedure asks for at the terminals, V.
    lost_at : str or None
        Clock time at which the card went away; None while it is there.
    failed : mapping of key to Health
        Values of the chain file, dotted, whose last calibration or check was refused.
    settling : str
        How long a calibrator on the microphone has stood still; empty while none is heard.
    """

    today: date
    unit: str | None = None
    lot: str | None = None
    distance_m: float | None = None
    drive_v_rms: float | None = None
    lost_at: str | None = None
    failed: Mapping[str, Health] = field(default_factory=dict)
    settling: str = ""

    def health(self, chain: Chain, table: str, *keys: str) -> Health:
        """Return how a link fares today: its values by name, in a table that has others, too."""
        own = {f"{table}.{key}" for key in keys}
        refused = next((one for key, one in self.failed.items() if key in own), None)
        return refused or health(chain, table, on=self.today)


def strip_state(chain: Chain, heard: Heard, *, bench: OnBench) -> StripState:
    """Return the strip for a chain, with what its inputs hear."""
    if bench.lost_at is not None:
        heard = Heard()
    run = Wire.PLAYING if heard.sounding else Wire.SILENT
    return StripState(
        links=(
            _output(chain, heard, bench=bench, wire=run),
            _amplifier(chain, heard, bench=bench, wire=run),
            _sense(chain, bench=bench, wire=run),
            _unit(chain, heard, bench=bench),
            _microphone(chain, heard, bench=bench, wire=run),
            _preamplifier(chain, heard, bench=bench, wire=run),
            _input(chain, heard, bench=bench, wire=run),
        ),
        paths=_paths(chain, heard, is_lost=bench.lost_at is not None),
        is_sounding=heard.sounding,
    )


_NAMES = {
    "output": "Output",
    "amplifier": "Amplifier",
    "sense": "Sense resistor",
    "unit": "Unit",
    "microphone": "Microphone",
    "preamplifier": "Preamplifier",
    "input": "Input",
}
_SHORT_NAMES = {"sense": "Resistor"}


def _tile(
    key: str, standing: Health, *, value: str = "—", wire: Wire, live: Live | None = None
) -> LinkState:
    there = standing is not NOT_WIRED
    return LinkState(
        key=key,
        name=_NAMES[key],
        short_name=_SHORT_NAMES.get(key, _NAMES[key]),
        value=value,
        health=standing.words,
        short=standing.short,
        mark=standing.mark,
        is_there=there,
        wire=wire,
        live=(live or Live()) if there else Live(),
    )


def _output(chain: Chain, heard: Heard, *, bench: OnBench, wire: Wire) -> LinkState:
    drive = chain.output.drive
    standing = bench.health(chain, "output.drive", "full_scale_v")
    live = levels.output_live(chain, heard, drive_v_rms=bench.drive_v_rms)
    if bench.lost_at is not None:
        standing, wire, live = lost(bench.lost_at), Wire.CUT, Live()
    value = _full_scale(drive.full_scale_v, drive.full_scale_uncertainty_percent)
    return _tile("output", standing, value=value, wire=wire, live=live)


def _amplifier(chain: Chain, heard: Heard, *, bench: OnBench, wire: Wire) -> LinkState:
    drive = chain.output.drive
    value = _with_percent(
        drive.amplifier_gain, drive.amplifier_gain_uncertainty_percent, unit="V/V"
    )
    live = levels.terminals_live(chain, heard, drive_v_rms=bench.drive_v_rms)
    if bench.lost_at is not None:
        live = Live()
    standing = bench.health(chain, "output.drive", "amplifier_gain")
    return _tile("amplifier", standing, value=value, wire=wire, live=live)


def _sense(chain: Chain, *, bench: OnBench, wire: Wire) -> LinkState:
    sense = chain.input.sense
    if sense is None:
        return _tile("sense", NOT_WIRED, wire=wire)
    value = _with_percent(sense.resistor_ohm, sense.resistor_uncertainty_percent, unit="ohm")
    own = ["resistor_ohm", "gain"]
    if chain.input.pressure is not None:  # else the last tile is this input's
        own.append("full_scale_v")
    standing = bench.health(chain, "input.sense", *own)
    return _tile("sense", standing, value=value, wire=wire)


def _unit(chain: Chain, heard: Heard, *, bench: OnBench) -> LinkState:
    has_air = chain.input.pressure is not None
    ohm = chain.output.drive.nominal_ohm
    parts = [f"{ohm:g} Ω"] if ohm is not None else []
    parts += [f"lot {bench.lot}"] if bench.lot else []
    far = f"{bench.distance_m:.2f} m" if bench.distance_m is not None and has_air else ""
    words = Health(mark=None, words=", ".join(parts), short=bench.unit or "no serial")
    wire = Wire.NONE if not has_air else Wire.SOUND if heard.sounding else Wire.AIR
    return _tile("unit", words, value=bench.unit or "no serial", wire=wire, live=Live(text=far))


def _microphone(chain: Chain, heard: Heard, *, bench: OnBench, wire: Wire) -> LinkState:
    if (mic := chain.input.pressure) is None:
        return _tile("microphone", NOT_WIRED, wire=Wire.NONE)
    millivolts = mic.sensitivity_v_per_pa * 1000
    interval = millivolts * mic.sensitivity_uncertainty_db / _DB_A_PERCENT / 100
    standing = bench.health(chain, "input.pressure", "sensitivity_v_per_pa")
    return _tile(
        "microphone",
        settling(bench.settling) if bench.settling else standing,
        value=f"{value_text(millivolts, interval)} mV/Pa",
        wire=wire,
        live=levels.microphone_live(mic, heard),
    )


def _preamplifier(chain: Chain, heard: Heard, *, bench: OnBench, wire: Wire) -> LinkState:
    if (mic := chain.input.pressure) is None:
        return _tile("preamplifier", NOT_WIRED, wire=Wire.NONE)
    return _tile(
        "preamplifier",
        bench.health(chain, "input.pressure", "preamplifier_gain"),
        value=_with_percent(
            mic.preamplifier_gain, mic.preamplifier_gain_uncertainty_percent, unit="V/V"
        ),
        wire=wire if bench.lost_at is None else Wire.CUT,
        live=levels.preamplifier_live(mic, heard),
    )


def _input(chain: Chain, heard: Heard, *, bench: OnBench, wire: Wire) -> LinkState:
    # The microphone's input; on a bench without one, that of the current.
    table, link = next(
        (name, link)
        for name, link in (("pressure", chain.input.pressure), ("sense", chain.input.sense))
        if link is not None
    )
    standing = bench.health(chain, f"input.{table}", "full_scale_v")
    if bench.lost_at is not None:
        standing = lost(bench.lost_at)
    value = _full_scale(link.full_scale_v, link.full_scale_uncertainty_percent)
    live = levels.input_live(link.channel, heard)
    return _tile("input", standing, value=value, wire=wire, live=live)


def _paths(chain: Chain, heard: Heard, *, is_lost: bool) -> tuple[PathState, ...]:
    if is_lost:
        return (PathState(key="sense", label="no current", is_there=False),)
    sense = chain.input.sense
    over = sense is not None and sense.channel in heard.over
    current = PathState(
        key="sense", label=levels.current_text(chain, heard), is_there=sense is not None, over=over
    )
    found = [current]
    if (loop := chain.input.loopback) is not None:
        found.append(PathState(key="output", label="loopback", over=loop.channel in heard.over))
    if (wire := chain.input.terminal) is not None:
        found.append(PathState(key="unit", label="terminals", over=wire.channel in heard.over))
    return tuple(found)


def _full_scale(volts: float, percent: float) -> str:
    return f"{_with_percent(volts, percent, unit='V')} full scale"


def _with_percent(value: float, percent: float, *, unit: str) -> str:
    return f"{value_text(value, value * percent / 100 or None)} {short_unit(unit)}"
