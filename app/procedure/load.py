"""A procedure file and the audio that it names, ready to be played and judged."""

from collections.abc import Iterator
from pathlib import Path

from app.procedure.audio_file import AudioRefusedError, read_audio
from app.procedure.excitation_schema import File, Series
from app.procedure.loaded import LoadedProcedure
from app.procedure.schema import Procedure
from hardware.toml_file import read_placed
from hardware.toml_lines import Place


def load_procedure(path: Path) -> LoadedProcedure:
    """Read a procedure file, and every audio file that its excitation names.

    Parameters
    ----------
    path : Path
        The procedure file; audio is looked for relative to it.

    Returns
    -------
    LoadedProcedure

    Raises
    ------
    FileError
        Names file, line, key, what is wrong, what was given and what is allowed.
    """
    placed = read_placed(path, Procedure)
    audio = {}
    for place, part in _files(placed.model):
        try:
            audio[part.audio_name] = read_audio(path.parent / part.path, channel=part.channel)
        except AudioRefusedError as error:
            raise placed.refusal(
                (*place, error.key), error.what, given=error.given, allowed=error.allowed
            ) from error
    return LoadedProcedure(
        procedure=placed.model,
        file=str(path),
        lines=placed.lines,
        audio={name: one.samples for name, one in audio.items()},
        audio_rate_hz={name: one.rate_hz for name, one in audio.items()},
    )


def _files(procedure: Procedure) -> Iterator[tuple[Place, File]]:
    excitation = procedure.excitation
    if isinstance(excitation, File):
        yield ("excitation",), excitation
    elif isinstance(excitation, Series):
        for number, part in enumerate(excitation.parts):
            if isinstance(part, File):
                yield ("excitation", "parts", number), part
