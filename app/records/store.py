"""The store: the one door to units, takes, captures and what was decided about them."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from types import TracebackType
from typing import Self

from sqlalchemy import Connection, Engine, select
from sqlalchemy.exc import SQLAlchemyError

from app.errors import BadInputError
from app.records import tables
from app.records.belongs import by_hash, check_audio, check_capture, refuse_known
from app.records.calibration_queries import CalibrationQueries
from app.records.calibration_record import CalibrationRecord
from app.records.captures import CaptureFolder
from app.records.decisions import (
    Mark,
    UnitMark,
    read_marks,
    reference_row,
    write_mark,
    write_reference,
)
from app.records.durable import make_folder
from app.records.engine import open_engine, reading, writing
from app.records.known_files import known_audio, known_captures
from app.records.limit_sets import LimitSets
from app.records.location import Location, locate
from app.records.plain_words import refusing
from app.records.queries import Queries
from app.records.read_calibration import capture_rows
from app.records.read_take import read_take
from app.records.row_of import row_of
from app.records.schema_revision import look, migrate
from app.records.shared_folder import settle_folder
from app.records.take import Take
from app.records.trail import AuditEntry, read_entries
from app.records.write_calibration import check_calibration, write_calibration
from app.records.write_take import write_take
from dsp import Floats
from hardware.card import Capture


class Store(Queries, CalibrationQueries, LimitSets):
    """Keeps takes with their captures; made by ``Store.open``, usable from any thread.

    Several processes may have the same store open; those that write wait for each other.
    """

    def __init__(self, location: Location, *, engine: Engine) -> None:
        self._location, self._engine = location, engine
        self._files = CaptureFolder(location.audio)

    @classmethod
    def open(cls, where: str | Path | None = None, *, must_exist: bool = False) -> Self:
        """Open a store, make it where there is none, and bring an older one up to date.

        Parameters
        ----------
        where : str, Path or None
            A file, ``sqlite:///`` and a file, or ``postgresql://USER@SERVER/DATABASE?captures=``
            and the folder for recordings; None for the one in the user's data folder.
        must_exist : bool
            Refuse to make one at a place that somebody named: who only reads has mistyped it.

        Returns
        -------
        Store; close it, or use it in a ``with`` statement.

        Raises
        ------
        BadInputError
            Not a store, none where there must be one, written by a newer version, or a place that
            cannot be read or written.
        """
        location = locate(where)
        engine = open_engine(location.url)
        try:
            found = look(location, engine=engine)
            if must_exist and where is not None and found.revision is None:
                raise BadInputError(
                    location.name,
                    "no store there",
                    allowed="one that a take or limits were kept in",
                )
            with refusing(location.name, "the store cannot be opened"):
                if not location.is_on_server:
                    make_folder(location.folder)
                if not found.is_current:
                    migrate(engine)
                if location.is_on_server:
                    settle_folder(location.audio, store=location.name, engine=engine)
                store = cls(location, engine=engine)
                store._tidy()
        except BaseException:
            engine.dispose()
            raise
        return store

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @property
    def name(self) -> str:
        """What people call the place: the database file, or server and database."""
        return self._location.name

    @property
    def address(self) -> str:
        """What ``open`` finds it by; not to be shown, for it may hold a password."""
        return self._location.address

    @property
    def folder(self) -> Path:
        """Where other files of the store lie: beside the database file, or with the recordings."""
        return self._location.folder

    def keep(
        self, take: Take, *, capture: Capture, audio: Mapping[str, Floats] | None = None
    ) -> None:
        """Keep a take with its recording; when this returns, both are on the disk.

        Parameters
        ----------
        take : Take
            Whole and judged; its id is new to the store.
        capture : Capture
            What it was derived from.
        audio : mapping of str to (n,) array, optional
            Samples of the files that its excitation played, by path as in ``take.audio``; those
            that the store holds already may be left out.

        Raises
        ------
        BadInputError
            Take and samples do not belong together, the take is in the store already, or disk
            or database did not take it: nothing of it was kept.
        """
        check_capture(take, capture=capture)
        samples = by_hash(take, audio=audio or {})
        arriving = {take.capture_sha256, *samples}
        with self._keeping(arriving, failed="the take was not kept") as connection:
            refuse_known(take, on=connection)
            known = known_audio(set(take.audio.values()), on=connection)
            check_audio(take, have=known | samples.keys())
            self._files.expect(arriving)
            self._files.add_capture(capture, sha256=take.capture_sha256)
            for sha256, content in samples.items():
                self._files.add_audio(
                    content, sha256=sha256, sample_rate_hz=take.chain.chain.device.sample_rate
                )
            new = {sha256: c.size for sha256, c in samples.items() if sha256 not in known}
            write_take(take, capture=capture, audio_frames=new, on=connection)

    def keep_calibration(self, record: CalibrationRecord, *, captures: Sequence[Capture]) -> None:
        """Keep a calibration, accepted or refused, with its recordings; it is never changed.

        Parameters
        ----------
        record : CalibrationRecord
            Whole; its id is new to the store.
        captures : sequence of Capture
            What it was found from, in the order in which it names them.

        Raises
        ------
        BadInputError
            Record and recordings do not belong together, nobody is named who did it, or disk or
            database did not take it: nothing of it was kept.
        """
        check_calibration(record, captures=captures)
        arriving = set(record.captures)
        with self._keeping(arriving, failed="the calibration was not kept") as connection:
            self._files.expect(arriving)
            for capture, sha256 in zip(captures, record.captures, strict=True):
                self._files.add_capture(capture, sha256=sha256)
            write_calibration(record, captures=captures, on=connection)

    def take(self, take_id: str) -> Take:
        """Return a take, equal to the one that was kept.

        Parameters
        ----------
        take_id : str
            Its id, or so many of the first digits that no other begins with them.

        Raises
        ------
        BadInputError
            No such take, or several.
        """
        with self._read() as connection:
            return read_take(row_of(take_id, on=connection), on=connection)

    def capture(self, take: Take, *, verify: bool = True) -> Capture:
        """Return the recording of a take.

        Parameters
        ----------
        take : Take
            One of this store.
        verify : bool
            Whether its samples are compared with the hash under which they were kept.

        Returns
        -------
        Capture, (n, channels), with everything that the card told.

        Raises
        ------
        BadInputError
            No such take; or the file is missing, damaged or changed.
        """
        takes, captures = tables.takes, tables.captures
        wanted = select(takes, captures.c.sample_rate_hz).join(captures)
        with self._read() as connection:
            own = takes.c.row == row_of(take.id, on=connection)
            row = connection.execute(wanted.where(own)).one()
        samples = self._files.samples(
            row.capture_sha256, sample_rate_hz=row.sample_rate_hz, verify=verify
        )
        return Capture(
            samples=samples,
            sample_rate_hz=row.sample_rate_hz,
            started_utc=row.capture_started_utc,
            card=row.capture_card,
            dropouts=row.dropouts,
            lost_channels=tuple(row.lost_channels),
        )

    def calibration_captures(self, record: CalibrationRecord) -> tuple[Capture, ...]:
        """Return the recordings of a calibration, each compared with its hash.

        Raises
        ------
        BadInputError
            No such calibration; or a file is missing, damaged or changed.
        """
        with self._read() as connection:
            rows = capture_rows(record.id, on=connection)
        return tuple(
            Capture(
                samples=self._files.samples(
                    row.sha256, sample_rate_hz=row.sample_rate_hz, verify=True
                ),
                sample_rate_hz=row.sample_rate_hz,
                started_utc=row.started_utc,
                card=row.card,
                dropouts=row.dropouts,
                lost_channels=tuple(row.lost_channels),
            )
            for row in rows
        )

    def audio(self, take: Take) -> dict[str, Floats]:
        """Return the samples of the files that a take's excitation played, by path, each (n,)."""
        return {path: self._files.audio(sha256) for path, sha256 in take.audio.items()}

    def reference(self, procedure: str) -> Take | None:
        """Return what relative masks of a procedure compare with, by the procedure's name."""
        with self._read() as connection:
            row = reference_row(procedure, on=connection)
            return None if row is None else read_take(row, on=connection)

    def set_reference(self, take_id: str, *, by: str, why: str) -> None:
        """Make a take the reference of its procedure, for every lot, from now on.

        Raises
        ------
        BadInputError
            No such take, or nobody or no reason named.
        """
        with self._write("the reference was not set") as connection:
            row = row_of(take_id, on=connection)
            write_reference(row, by=by, why=why, on=connection)

    def mark_unit(self, serial: str, mark: Mark, *, by: str, why: str) -> None:
        """Note what inspection found of a unit: the truth that a trial counts against.

        Raises
        ------
        BadInputError
            No such unit or mark, or nobody or no reason named.
        """
        self.mark_units((serial,), mark, by=by, why=why)

    def mark_units(self, serials: Sequence[str], mark: Mark, *, by: str, why: str) -> None:
        """Note the same of several units, all of them or none; see ``mark_unit``."""
        with self._write("the unit was not marked") as connection:
            for serial in serials:
                write_mark(serial, mark=mark, by=by, why=why, on=connection)

    def marks(self) -> dict[str, UnitMark]:
        """Return the last mark of every unit that has one, by serial."""
        with self._read() as connection:
            return read_marks(on=connection)

    def audit(
        self, *, subject: str | None = None, limit: int | None = None, offset: int = 0
    ) -> tuple[AuditEntry, ...]:
        """Return what people decided, the newest first.

        ``subject`` is ``take ID``, ``unit SERIAL`` or ``limits SET``; None for all.
        """
        with self._read() as connection:
            return read_entries(subject=subject, limit=limit, offset=offset, on=connection)

    @contextmanager
    def _read(self) -> Iterator[Connection]:
        with refusing(self.name, "cannot be read"), reading(self._engine) as connection:
            yield connection

    @contextmanager
    def _write(self, failed: str) -> Iterator[Connection]:
        with refusing(self.name, failed), writing(self._engine) as connection:
            yield connection

    @contextmanager
    def _keeping(self, arriving: set[str], *, failed: str) -> Iterator[Connection]:
        """Write rows and files, all or none of them."""
        try:
            with self._write(failed) as connection:
                yield connection
        except BaseException:
            with suppress(OSError, SQLAlchemyError):  # otherwise the next who opens the store
                self._tidy()
            raise
        with suppress(OSError):
            self._files.arrived(arriving)

    def _tidy(self) -> None:
        """Remove files of takes that never came to stand in the database."""
        if not self._files.leftovers():
            return
        with writing(self._engine) as connection:
            left = self._files.leftovers()
            kept = known_audio(left, on=connection) | known_captures(left, on=connection)
            self._files.sweep(kept=kept)
