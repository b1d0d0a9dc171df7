"""A chain with everything that its figures stand on, as it was at one moment."""

from pydantic import Field

from hardware.chain.schema import Chain
from hardware.toml_model import FileModel


class ResponseTable(FileModel):
    """The microphone's own response, relative to its sensitivity at 1 kHz.

    All three have the same length; ``deg`` is empty where the supplier gave no phase.
    """

    hz: tuple[float, ...] = Field(description="Hz, strictly rising")
    db: tuple[float, ...] = Field(description="dB")
    deg: tuple[float, ...] = Field((), description="deg")


class ChainSnapshot(FileModel):
    """A chain file and the tables that it names: enough to derive a take again a year later."""

    chain: Chain
    response: ResponseTable | None = None
