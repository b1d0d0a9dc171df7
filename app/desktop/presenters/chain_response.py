"""A microphone's response table as a curve."""

from dataclasses import dataclass

from hardware.chain.snapshot import ChainSnapshot


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """A table, or why there is none.

    Attributes
    ----------
    hz, db, deg : tuple of float
        As the supplier gave them; empty where there is no table, ``deg`` also where it has none.
    interval_db : float
        dB, k = 2, of every point.
    hint : str
        What stands in an empty plot.
    """

    hz: tuple[float, ...]
    db: tuple[float, ...]
    deg: tuple[float, ...]
    interval_db: float
    hint: str


def response_of(snapshot: ChainSnapshot) -> Response | None:
    """Return the microphone's response; None on a chain without one."""
    mic, table = snapshot.chain.input.pressure, snapshot.response
    if mic is None:
        return None
    return Response(
        hz=table.hz if table else (),
        db=table.db if table else (),
        deg=table.deg if table else (),
        interval_db=mic.response_uncertainty_db,
        hint="No table: the microphone counts as flat. Name one under Response.",
    )
