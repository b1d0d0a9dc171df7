"""Which revision of a limit set judged a take, and whether the masks really were those."""

from dataclasses import dataclass

from sqlalchemy import Connection

from app.procedure.schema import Procedure
from app.records.limit_revisions import LimitRevision, read_limit_revisions


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class JudgingLimits:
    """What a take's procedure says of its limits, held against the store.

    Attributes
    ----------
    set_name, number : str, int
        The revision that the procedure names.
    revision : LimitRevision or None
        That revision; None where this store does not have it.
    holds : bool
        Whether the masks that judged the take are those of the revision.
    """

    set_name: str
    number: int
    revision: LimitRevision | None
    holds: bool

    @property
    def words(self) -> str:
        """Say it in a line: ``T4 line, revision 7``, and what is wrong with that."""
        named = f"{self.set_name}, revision {self.number}"
        if self.revision is None:
            return f"{named}, which this store does not have"
        return named if self.holds else f"{named}, but with other masks"


def read_judging_limits(procedure: Procedure, *, on: Connection) -> JudgingLimits | None:
    """Return the revision that a procedure names; None where its masks are its own."""
    named = procedure.limits
    if named is None:
        return None
    everyone = read_limit_revisions(named.set, on=on)
    revision = next((one for one in everyone if one.number == named.revision), None)
    return JudgingLimits(
        set_name=named.set,
        number=named.revision,
        revision=revision,
        holds=revision is not None and revision.masks == procedure.masks,
    )
