"""What can be asked of a store about many takes at once; every question goes through an index."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from contextlib import AbstractContextManager
from typing import Any, Unpack

from sqlalchemy import Connection, func, select

from app.procedure.schema import Procedure
from app.records import tables
from app.records.chains import read_link_forms
from app.records.counts import Tally, VerdictCounts, kind_counts, tally, unit_counts
from app.records.filters import Filters, Kind
from app.records.find_takes import (
    TakeSummary,
    count_takes,
    find_takes,
    newest_of_units,
    place_of,
)
from app.records.first_takes import FirstTake, first_of_units
from app.records.many_curves import read_curve_sets
from app.records.many_takes import read_curves, read_masks, read_number_lists, read_numbers
from app.records.procedures_used import procedures_used
from app.records.record import Record, read_record
from app.records.repeated_takes import RepeatedTake, repeated_takes
from app.records.rests_on import read_given
from app.records.revisions import Revision, read_procedure, read_revisions
from app.records.row_of import row_of
from app.records.snapshots import snapshot
from app.records.trend import Trend, read_margin_trend, read_trend
from app.records.unit_takes import UnitTake, newest_unit_takes
from dsp import Curve, Number
from dsp.conformity.curve_set import CurveSet
from dsp.conformity.verdict import MaskResult


class Queries:
    """The questions of a ``Store``; it gives them its connection."""

    def _read(self) -> AbstractContextManager[Connection]:
        raise NotImplementedError

    def number(self, take_id: str) -> int:
        """Return the running number of a take: the first of a store is 1, none comes twice.

        Raises
        ------
        BadInputError
            No such take, or several begin so.
        """
        with self._read() as connection:
            return row_of(take_id, on=connection)

    def next_number(self) -> int:
        """Return the number of the next take, unless another process keeps one first."""
        with self._read() as connection:
            last = connection.execute(select(func.max(tables.takes.c.row))).scalar()
        return (last or 0) + 1

    def record(self, take_id: str) -> Record:
        """Return a take with everything around it that its figures can be defended with.

        Raises
        ------
        BadInputError
            No such take, or several begin so.
        """
        with self._read() as connection:
            return read_record(take_id, on=connection)

    def gave(self, take_id: str) -> frozenset[str]:
        """Return what a take gave to others that rest on it, such as "added mass".

        Raises
        ------
        BadInputError
            No such take, or several begin so.
        """
        with self._read() as connection:
            return read_given(row_of(take_id, on=connection), on=connection)

    def find(
        self, *, limit: int | None = None, offset: int = 0, **filters: Unpack[Filters]
    ) -> tuple[TakeSummary, ...]:
        """Return the takes that pass every filter, the newest first.

        Parameters
        ----------
        limit, offset : int or None, int
            How many at most, and how many to pass over before; None for all.
        **filters
            ``serial``, ``lot``, ``procedure`` (its name), ``verdict``, ``kind``; ``since`` and
            ``until`` (aware moments of the start, the first included, the second not); ``text``:
            beginnings of parts of serial, lot, procedure or verdict, a take's number or id, a day
            (``2026-07-29``, ``07-29``, ``2026-07``), a time of that day or else of the newest
            (``14:36``), in any case and order. Every word must fit.
        """
        with self._read() as connection:
            return find_takes(filters, limit=limit, offset=offset, on=connection)

    def place_of(self, take_id: str, **filters: Unpack[Filters]) -> int | None:
        """Return the place of a take in the list that ``find`` gives, from 0; None if not in it.

        Raises
        ------
        BadInputError
            No such take, or several begin so.
        """
        with self._read() as connection:
            return place_of(row_of(take_id, on=connection), filters, on=connection)

    def count(self, **filters: Unpack[Filters]) -> int:
        """Return how many takes pass every filter; see ``find``."""
        with self._read() as connection:
            return count_takes(filters, on=connection)

    def tally(self, **filters: Unpack[Filters]) -> Tally:
        """Count the takes that pass every filter, by lot and verdict; see ``find``."""
        with self._read() as connection:
            return tally(filters, on=connection)

    def procedures(self, **filters: Unpack[Filters]) -> tuple[str, ...]:
        """Return the names of the procedures that takes were made with, sorted; see ``find``."""
        with self._read() as connection:
            return procedures_used(filters, on=connection)

    def lots(self) -> tuple[str, ...]:
        """Return every lot, the one that began last first."""
        counted = self.tally().lots
        return tuple(one.lot for one in counted if one.lot is not None)

    def verdict_counts(self, **filters: Unpack[Filters]) -> VerdictCounts:
        """Count the takes that pass every filter, by verdict; see ``find``."""
        return self.tally(**filters).takes

    def unit_counts(self, lot: str, *, procedure: str | None = None) -> VerdictCounts:
        """Count the units of a lot by the verdict of their newest take: the yield of the lot.

        Parameters
        ----------
        lot : str
            Its name.
        procedure : str or None
            Name of the one whose takes count; None for any.
        """
        with self._read() as connection:
            return unit_counts(lot, procedure=procedure, on=connection)

    def kind_counts(self, **filters: Unpack[Filters]) -> dict[Kind, int]:
        """Count the takes of each kind among those that pass every filter; see ``find``."""
        with self._read() as connection:
            return kind_counts(filters, on=connection)

    def newest_of_units(
        self, *, limit: int | None = None, **filters: Unpack[Filters]
    ) -> tuple[TakeSummary, ...]:
        """Return the newest take of each unit among those that pass every filter; see ``find``."""
        with self._read() as connection:
            return newest_of_units(filters, limit=limit, on=connection)

    def newest_unit_takes(
        self, *, limit: int | None = None, **filters: Unpack[Filters]
    ) -> tuple[UnitTake, ...]:
        """Return the same in less detail, for very many units."""
        with self._read() as connection:
            return newest_unit_takes(filters, limit=limit, on=connection)

    def first_of_units(self, **filters: Unpack[Filters]) -> tuple[FirstTake, ...]:
        """Return the first take of each unit among those that pass every filter, the oldest first.

        Takes that were derived again do not count; see ``find`` for the filters.
        """
        with self._read() as connection:
            return first_of_units(filters, on=connection)

    def repeated_takes(self, **filters: Unpack[Filters]) -> tuple[RepeatedTake, ...]:
        """Return the takes that pass every filter, of units with several, the oldest first.

        Takes that were derived again do not count; see ``find`` for the filters.
        """
        with self._read() as connection:
            return repeated_takes(filters, on=connection)

    def trend(self, name: str, *, limit: int = 2000, **filters: Unpack[Filters]) -> Trend:
        """Return a number over the newest ``limit`` takes that pass every filter; see ``find``.

        Takes that do not have it are left out.
        """
        with self._read() as connection:
            return read_trend(name, filters, limit=limit, on=connection)

    def margin_trend(self, mask: str, *, limit: int = 2000, **filters: Unpack[Filters]) -> Trend:
        """Return the margin to a mask over the newest takes that pass every filter; see ``trend``.

        A margin's unit is that of the quantity which the mask is about; it has no interval.
        """
        with self._read() as connection:
            return read_margin_trend(mask, filters, limit=limit, on=connection)

    def curves(self, name: str, *, take_ids: Sequence[str]) -> dict[str, Curve]:
        """Return one curve of many takes, by whole id, in that order.

        Takes that do not have it are left out. Curves over the same frequencies share one array.
        """
        with self._read() as connection:
            return read_curves(name, take_ids=take_ids, on=connection)

    def curve_sets(
        self, names: Collection[str], *, takes: Sequence[int]
    ) -> dict[str, tuple[CurveSet, ...]]:
        """Return some curves of very many takes, by name, laid out to be judged together.

        ``takes`` are running numbers; the members of a set are places among them.
        """
        with self._read() as connection:
            return read_curve_sets(names, takes=takes, on=connection)

    def numbers(
        self, names: Iterable[str], *, take_ids: Sequence[str]
    ) -> dict[str, dict[str, Number]]:
        """Return some numbers of many takes, by whole id of the take, then by name."""
        with self._read() as connection:
            return read_numbers(names, take_ids=take_ids, on=connection)

    def number_lists(
        self, names: Collection[str], *, takes: Sequence[int]
    ) -> dict[str, list[Number | None]]:
        """Return some numbers of very many takes, by running number, by name, in that order."""
        with self._read() as connection:
            return read_number_lists(names, takes=takes, on=connection)

    def masks(self, *, take_ids: Sequence[str]) -> dict[str, dict[str, MaskResult]]:
        """Return how many takes stand against their masks, by whole id, then by name of a mask."""
        with self._read() as connection:
            return read_masks(take_ids=take_ids, on=connection)

    def revisions(self, procedure: str) -> tuple[Revision, ...]:
        """Return the forms that a procedure of that name had, the newest first."""
        with self._read() as connection:
            return read_revisions(procedure, on=connection)

    def revision_of(self, procedure: Procedure) -> Revision | None:
        """Return which revision a procedure is; None for one that the store has never met."""
        sha256 = snapshot(procedure).sha256
        everyone = self.revisions(procedure.name)
        return next((one for one in everyone if one.sha256 == sha256), None)

    def revised_procedure(self, sha256: str) -> Procedure | None:
        """Return the procedure of a revision; None where the store has no such form."""
        with self._read() as connection:
            return read_procedure(sha256, on=connection)

    def link_forms(self, chain: str, table: str) -> tuple[Mapping[str, Any], ...]:
        """Return every form that a link of a chain had when takes were kept, the oldest first.

        Parameters
        ----------
        chain : str
            Name of the chain.
        table : str
            Of the chain file, dotted, for example ``input.pressure``.
        """
        with self._read() as connection:
            return read_link_forms(chain, table, on=connection)
