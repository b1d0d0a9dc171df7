"""A procedure with the audio that it names: enough to play it and to derive it again."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from app.procedure.schema import Procedure
from dsp import Floats


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class LoadedProcedure:
    """A procedure, where it came from, and the samples of the files that it plays.

    Attributes
    ----------
    procedure : Procedure
        As validated.
    file : str
        As the person named it, for messages.
    audio : mapping of str to (n,) array
        For excitations from files: ``File.audio_name`` (path as written) to samples, 1.0 = full
        scale of the file.
    audio_rate_hz : mapping of str to float
        Hz, the rate of each of those files.
    """

    procedure: Procedure
    file: str
    audio: Mapping[str, Floats] = field(default_factory=dict)
    audio_rate_hz: Mapping[str, float] = field(default_factory=dict)
