"""``dustcap calibrate resistor``: known resistors in the unit's place."""

import sys
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.calibrate import options
from app.cli.exits import Exit
from app.errors import BadInputError

if TYPE_CHECKING:
    from hardware.card import Capture
    from hardware.chain.snapshot import ChainSnapshot


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
    contact_ohm: Annotated[
        float, typer.Option(min=0, help="ohm by which contacts differ from plug to plug.")
    ] = 0.005,
    peak: Annotated[float | None, typer.Option(help="Of the probe, 0 to 1 of full scale.")] = None,
    render: Annotated[
        Path | None, typer.Option(help="Only write the probe to this WAV, for another player.")
    ] = None,
    temperature_c: options.TemperatureC = None,
    serial: options.Serial = "",
    certificate: options.Certificate = "",
    due: options.Due = None,
    operator: options.Operator = None,
    check: options.Check = False,
    exchanged: options.Exchanged = False,
    store: options.Store = None,
    out: options.Out = None,
    as_json: options.AsJson = False,
) -> int:
    """Find the sense resistor from one or more known resistors, with the leads as in use.

    Power off while you plug. The terminal input must be wired meanwhile.
    """
    from app.calibrate.play import chosen_peak
    from app.calibrate.resistor import LINK, ResistorMethod
    from app.cli.calibrate.conditions import asked_of, conditions_of
    from app.cli.calibrate.finish import Place, finish
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
    known = tuple(
        KnownResistor(ohm=one, uncertainty_percent=percent, ppm_per_k=ppm_per_k) for one in ohm
    )
    further = None
    if check_ohm is not None:
        further = KnownResistor(ohm=check_ohm, uncertainty_percent=percent, ppm_per_k=ppm_per_k)
    rate = float(snapshot.chain.device.sample_rate)
    values = [*ohm, *([] if check_ohm is None else [check_ohm])]
    captures = (
        [open_recording(path, sample_rate_hz=rate) for path in capture]
        if capture
        else [_played(snapshot, ohm=value, peak=loud) for value in values]
    )
    asked = asked_of(
        operator=operator,
        instrument="resistors of " + ", ".join(f"{one:g} Ω" for one in ohm),
        serial=serial,
        certificate=certificate,
        due=due,
        conditions=conditions_of(snapshot.chain, temperature_c=temperature_c),
        check=check,
        exchanged=exchanged,
    )
    return finish(
        ResistorMethod(resistors=known, check=further, peak=loud, contact_ohm=contact_ohm),
        captures,
        link=LINK,
        asked=asked,
        chain=snapshot,
        place=Place(chain_file=chain, store=store, out=out, as_json=as_json),
    )


def _played(chain: "ChainSnapshot", *, ohm: float, peak: float) -> "Capture":
    from app.calibrate.play import play_probe
    from app.calibrate.resistor import probe_of
    from hardware.chain.edit import with_chain_values
    from hardware.open_card import open_card

    if chain.chain.device.backend == "virtual":
        chain = with_chain_values(chain, {("virtual", "load_ohm"): ohm})
    elif not sys.stdin.isatty():
        raise BadInputError("--capture", "not given", allowed="a recording each; or a terminal")
    else:
        text = f"Power off, {ohm:g} Ω in the unit's place, power on; then Enter"
        typer.prompt(text, default="", show_default=False, err=True)
    with closing(open_card(chain)) as card:
        return play_probe(
            card,
            probe=probe_of(chain.chain, peak=peak),
            chain=chain.chain,
            on_progress=lambda _: None,
            should_stop=lambda: False,
        )


def _render(chain: "ChainSnapshot", *, peak: float, path: Path) -> None:
    import soundfile

    from app.calibrate.resistor import probe_of
    from app.report.atomic import atomic_path

    probe, rate = probe_of(chain.chain, peak=peak), chain.chain.device.sample_rate
    with atomic_path(path) as part:
        soundfile.write(part, probe.samples, rate, format="WAV", subtype="FLOAT")
    typer.echo(str(path))
