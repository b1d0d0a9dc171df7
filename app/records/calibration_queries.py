"""What can be asked of a store about calibrations."""

from contextlib import AbstractContextManager
from datetime import UTC, datetime

from sqlalchemy import Connection

from app.records.calibration_record import CalibrationRecord
from app.records.calibration_state import CalibrationState, read_state
from app.records.read_calibration import read_calibration, read_calibrations
from app.records.takes_on_chain import count_on_chain
from hardware.chain.schema import Chain


class CalibrationQueries:
    """The questions of a ``Store`` about calibrations; it gives them its connection."""

    def _read(self) -> AbstractContextManager[Connection]:
        raise NotImplementedError

    def calibration(self, calibration_id: str) -> CalibrationRecord:
        """Return a calibration, equal to the one that was kept.

        Parameters
        ----------
        calibration_id : str
            Its id, or so many of the first digits that no other begins with them.

        Raises
        ------
        BadInputError
            No such calibration, or several; or it is not what was kept.
        """
        with self._read() as connection:
            return read_calibration(calibration_id, on=connection)

    def calibrations(
        self,
        *,
        chain: str | None = None,
        link: str | None = None,
        until: datetime | None = None,
        limit: int | None = None,
    ) -> tuple[CalibrationRecord, ...]:
        """Return calibrations and checks, accepted or refused, the newest first.

        Parameters
        ----------
        chain, link : str or None
            Name of the chain, table of the chain file (``input.pressure``); None for any.
        until : datetime or None
            Aware; none that was made later.
        limit : int or None
            How many at most.
        """
        with self._read() as connection:
            return read_calibrations(
                chain=chain, link=link, until=until, limit=limit, on=connection
            )

    def calibration_state(self, chain: Chain, *, until: datetime | None = None) -> CalibrationState:
        """Return what the values of a chain stand on, and which links failed their last proof.

        Parameters
        ----------
        chain : Chain
            As it is, or was.
        until : datetime or None
            Aware: how it stood then; None for now.
        """
        moment = until or datetime.now(UTC)
        with self._read() as connection:
            return read_state(chain, until=moment, on=connection)

    def takes_on_chain(self, chain: str, *, since: datetime | None, until: datetime) -> int:
        """Count the takes on a chain of that name in a span of time.

        Parameters
        ----------
        chain : str
            Its name.
        since, until : datetime or None, datetime
            Aware; the first included, None for ever, the second not.
        """
        with self._read() as connection:
            return count_on_chain(chain, since=since, until=until, on=connection)
