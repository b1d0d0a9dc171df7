"""What can be asked of a store about limit sets, and decided about them."""

from collections.abc import Mapping
from contextlib import AbstractContextManager

from sqlalchemy import Connection

from app.procedure.mask_schema import Mask
from app.records.limit_revisions import (
    LimitRevision,
    read_limit_revision,
    read_limit_revisions,
    read_limit_sets,
)
from app.records.write_limits import write_approval, write_limit_revision, write_retirement


class LimitSets:
    """The limit sets of a ``Store``; it gives them its connection."""

    def _read(self) -> AbstractContextManager[Connection]:
        raise NotImplementedError

    def _write(self, failed: str) -> AbstractContextManager[Connection]:
        raise NotImplementedError

    def limit_sets(self) -> tuple[str, ...]:
        """Return the name of every limit set, sorted."""
        with self._read() as connection:
            return read_limit_sets(on=connection)

    def limit_revisions(self, name: str) -> tuple[LimitRevision, ...]:
        """Return every revision of a limit set, the newest first; none for a set unknown here."""
        with self._read() as connection:
            return read_limit_revisions(name, on=connection)

    def limit_revision(self, name: str, number: int) -> LimitRevision:
        """Return one revision of a limit set.

        Raises
        ------
        BadInputError
            The store has no such set, or no such revision of it.
        """
        with self._read() as connection:
            return read_limit_revision(name, number, on=connection)

    def add_limit_revision(
        self, name: str, masks: Mapping[str, Mask], *, by: str, why: str
    ) -> LimitRevision:
        """Keep masks as the next revision of a set, a draft; a new name makes a new set.

        Raises
        ------
        BadInputError
            No name, no mask, the masks of the newest revision, or nobody or no reason named.
        """
        with self._write("the revision was not kept") as connection:
            return write_limit_revision(name, masks, by=by, why=why, on=connection)

    def approve_limits(
        self, name: str, number: int, *, by: str, why: str, seen: int | None
    ) -> LimitRevision:
        """Approve a revision: lines may run it; the one that was approved before it is retired.

        Parameters
        ----------
        name, number : str, int
            Which revision: a draft, or a retired one.
        by, why : str, str
            Who approves, for what reason.
        seen : int or None
            Number of the approved revision that the approver held it against; None: there was
            none. Where another is approved by now, nothing is changed.

        Raises
        ------
        BadInputError
            No such revision, it is approved already, another than ``seen`` is approved by now (it
            tells which, by whom and when), or nobody or no reason named.
        """
        with self._write("the revision was not approved") as connection:
            return write_approval(name, number, by=by, why=why, seen=seen, on=connection)

    def retire_limits(self, name: str, number: int, *, by: str, why: str) -> LimitRevision:
        """Retire a revision, or withdraw a draft; it stays readable, and can be approved again.

        Raises
        ------
        BadInputError
            No such revision, it is retired already, or nobody or no reason named.
        """
        with self._write("the revision was not retired") as connection:
            return write_retirement(name, number, by=by, why=why, on=connection)
