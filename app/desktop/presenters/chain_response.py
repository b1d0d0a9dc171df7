"""A microphone's response table as a curve."""

from dataclasses import dataclass

from hardware.chain.snapshot import ChainSnapshot


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """A supplier's table.

    Attributes
    ----------
    hz, db : tuple of float
        As the supplier gave them.
    interval_db : float
        dB, k = 2, of every point.
    """

    hz: tuple[float, ...]
    db: tuple[float, ...]
    interval_db: float


def response_of(snapshot: ChainSnapshot) -> Response | None:
    """Return the microphone's response; None where it counts as flat."""
    mic, table = snapshot.chain.input.pressure, snapshot.response
    if mic is None or table is None:
        return None
    return Response(hz=table.hz, db=table.db, interval_db=mic.response_uncertainty_db)
