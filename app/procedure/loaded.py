"""A procedure with the audio that it names: enough to play it and to derive it again."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from app.procedure.schema import Procedure
from dsp import Floats
from hardware.toml_complaint import dotted
from hardware.toml_lines import Place


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LoadedProcedure:
    """A procedure, where it came from, and the samples of the files that it plays.

    Attributes
    ----------
    procedure : Procedure
        As validated.
    file : str
        As the person named it, for messages.
    lines : mapping of path to line
        Where its keys stand in the file; empty where it comes from no file.
    audio : mapping of str to (n,) array
        For excitations from files: ``File.audio_name`` (path as written) to samples, 1.0 = full
        scale of the file.
    audio_rate_hz : mapping of str to float
        Hz, the rate of each of those files.
    """

    procedure: Procedure
    file: str
    lines: Mapping[Place, int] = field(default_factory=dict)
    audio: Mapping[str, Floats] = field(default_factory=dict)
    audio_rate_hz: Mapping[str, float] = field(default_factory=dict)

    def where(self, place: Place) -> str:
        """Name file, line and key, for a message.

        Parameters
        ----------
        place : tuple of str and int
            Path of the key; elements of arrays from 0.
        """
        known = next(
            (place[:end] for end in range(len(place), 0, -1) if place[:end] in self.lines), ()
        )
        line = f":{self.lines[known]}" if known else ""
        return f"{self.file}{line} {dotted(place)}"
