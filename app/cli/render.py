"""``dustcap render``: the excitation exactly as it would be sent to the output channel."""

from pathlib import Path
from typing import Annotated

import typer

from app.cli.output import print_json


def render(
    procedure: Annotated[str, typer.Argument(help="Procedure file, or name of a shipped one.")],
    chain: Annotated[Path, typer.Option(help="Chain file.")],
    out: Annotated[Path, typer.Option(help="WAV to write: float, 1.0 = full scale.")],
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False,
) -> None:
    """Write the excitation as a float WAV, so that it can be played by other means."""
    from app.measure.excite import drive_samples, excite
    from app.procedure.shipped import find_procedure
    from app.report.export_wav import write_wav
    from hardware.chain.load import load_chain

    loaded, snapshot = find_procedure(procedure), load_chain(chain)
    excitation = excite(loaded, snapshot)
    samples = drive_samples(excitation, snapshot)
    write_wav(out, samples, sample_rate_hz=excitation.sample_rate_hz)
    peak = float(abs(samples).max())
    if as_json:
        print_json(
            {
                "file": str(out),
                "sample_rate_hz": excitation.sample_rate_hz,
                "duration_s": excitation.duration_s,
                "peak": peak,
            }
        )
        return
    typer.echo(
        f"{out}: {excitation.duration_s:.2f} s at {excitation.sample_rate_hz:.0f} Hz, "
        f"peak {peak:.4f} of full scale"
    )
