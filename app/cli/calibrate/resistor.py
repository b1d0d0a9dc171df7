"""``dustcap calibrate resistor``: known resistors in the unit's place."""

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.calibrate import options
from app.cli.exits import Exit
from app.cli.option_groups import with_groups
from app.errors import BadInputError

if TYPE_CHECKING:
    from hardware.card import Capture
    from hardware.chain.snapshot import ChainSnapshot

_OPEN_OHM = 1e9  # nothing connected


@with_groups
def resistor(
    chain: options.Chain,
    ohm: Annotated[
        list[float] | None,
        typer.Option(min=0, help="ohm of a known resistor, 0 for a short; again for each."),
    ] = None,
    capture: options.Captures = None,
    percent: Annotated[float, typer.Option(min=0, help="%, k = 2, of the known ones.")] = 0.1,
    ppm_per_k: Annotated[
        float, typer.Option(min=0, help="Their temperature coefficient, 1e-6 a kelvin.")
    ] = 0.0,
    check_ohm: Annotated[
        float | None, typer.Option(min=0, help="ohm of one more, read last and not used.")
    ] = None,
    open_circuit: Annotated[
        bool,
        typer.Option(
            "--open-circuit", help="One more with nothing in the unit's place: tells crosstalk."
        ),
    ] = False,
    together: Annotated[
        bool,
        typer.Option(
            "--together", help="One more, last: both inputs on one voltage; tells their gains."
        ),
    ] = False,
    crosstalk_db: Annotated[
        float | None,
        typer.Option(max=0, help="dB, most from terminal to sense input, where it is not told."),
    ] = None,
    inductance_uh: Annotated[
        float, typer.Option(min=0, help="µH, most of a known one with its leads.")
    ] = 1.0,
    contact_ohm: Annotated[
        float, typer.Option(min=0, help="ohm by which contacts differ from plug to plug.")
    ] = 0.005,
    peak: Annotated[float | None, typer.Option(help="Of the probe, 0 to 1 of full scale.")] = None,
    render: Annotated[
        Path | None, typer.Option(help="Only write the probe to this WAV, for another player.")
    ] = None,
    temperature_c: options.TemperatureC = None,
    *,
    against: options.Against,
    kept: options.Kept,
) -> int:
    """Find the sense resistor from one or more known resistors, with the leads as in use.

    Power off while you plug. The terminal input must be wired meanwhile.
    """
    from app.calibrate.play import chosen_peak
    from app.calibrate.resistor import LINK, ResistorMethod
    from app.cli.calibrate.conditions import asked_of, conditions_of
    from app.cli.calibrate.finish import finish
    from app.records.recording_file import open_recording
    from dsp.calibration.known_resistor import KnownResistor
    from hardware.chain.load import load_chain

    snapshot = load_chain(chain)
    loud = chosen_peak(snapshot.chain, peak)
    if render:
        _render(snapshot, peak=loud, path=render)
        return Exit.WELL
    if not ohm:
        raise BadInputError("--ohm", "not given", allowed="one or more known resistors")
    known = [
        KnownResistor(
            ohm=one,
            uncertainty_percent=percent,
            ppm_per_k=ppm_per_k,
            inductance_h=inductance_uh * 1e-6,
        )
        for one in [*ohm, *([] if check_ohm is None else [check_ohm])]
    ]
    wirings = [_Wiring(ohm=one.ohm) for one in known]
    wirings += [_NOTHING] if open_circuit else []
    wirings += [_BOTH] if together else []
    rate = float(snapshot.chain.device.sample_rate)
    captures = (
        [open_recording(path, sample_rate_hz=rate) for path in capture]
        if capture
        else [_played(snapshot, wiring=one, peak=loud) for one in wirings]
    )
    further = None if check_ohm is None else known.pop()
    asked = asked_of(
        kept,
        instrument="resistors of " + ", ".join(f"{one:g} Ω" for one in ohm),
        conditions=conditions_of(snapshot.chain, temperature_c=temperature_c),
        against=against,
    )
    return finish(
        ResistorMethod(
            resistors=tuple(known),
            check=further,
            peak=loud,
            has_open=open_circuit,
            has_together=together,
            contact_ohm=contact_ohm,
            crosstalk_db=crosstalk_db,
        ),
        captures,
        link=LINK,
        asked=asked,
        chain=snapshot,
        chain_file=chain,
        kept=kept,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wiring:
    """What is wired for one recording: a resistor in the unit's place, or both inputs together."""

    ohm: float = 0.0
    together: bool = False

    @property
    def asks(self) -> str:
        if self.together:
            return "Power off, sense input on the terminals beside the terminal input, power on"
        if self.ohm >= _OPEN_OHM:
            return "Power off, nothing in the unit's place, power on"
        return f"Power off, {self.ohm:g} Ω in the unit's place, power on"


_NOTHING, _BOTH = _Wiring(ohm=_OPEN_OHM), _Wiring(together=True)


def _played(chain: "ChainSnapshot", *, wiring: _Wiring, peak: float) -> "Capture":
    from app.calibrate.resistor import probe_of
    from app.cli.calibrate.live import play
    from hardware.chain.edit import with_chain_values

    if chain.chain.device.backend == "virtual":
        if wiring.together:
            allowed = "a recording: the rig cannot be wired so"
            raise BadInputError("--together", "not on the rig", allowed=allowed)
        chain = with_chain_values(chain, {("virtual", "load_ohm"): wiring.ohm})
    elif not sys.stdin.isatty():
        raise BadInputError("--capture", "not given", allowed="a recording each; or a terminal")
    else:
        typer.prompt(f"{wiring.asks}; then Enter", default="", show_default=False, err=True)
    return play(chain, probe=probe_of(chain.chain, peak=peak))


def _render(chain: "ChainSnapshot", *, peak: float, path: Path) -> None:
    import soundfile

    from app.calibrate.resistor import probe_of
    from app.report.atomic import atomic_path

    probe, rate = probe_of(chain.chain, peak=peak), chain.chain.device.sample_rate
    with atomic_path(path) as part:
        soundfile.write(part, probe.samples, rate, format="WAV", subtype="FLOAT")
    typer.echo(str(path))
