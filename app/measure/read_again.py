"""Read a kept take again from its recording, to tell whether its figures still stand."""

from app.errors import BadInputError
from app.measure.again import derive_again, open_take
from app.measure.differences import Differences, differences
from app.records.reread import Reread
from app.records.store import Store
from app.records.version import SOFTWARE_VERSION
from dsp import DspError

_MOST_NAMED = 5


def read_again(store: Store, take_id: str) -> Reread:
    """Return a take's record beside what its recording tells now; nothing is kept.

    Parameters
    ----------
    store : Store
        Where it is kept.
    take_id : str
        Its id, or enough of its first digits.

    Returns
    -------
    Reread; where the recording cannot be read, it says so and has no model and no impulse.

    Raises
    ------
    BadInputError
        No such take, or several begin so.
    """
    record = store.record(take_id)
    calibrations = tuple(store.calibration(one) for one in record.take.calibrations)
    try:
        finished = derive_again(open_take(store, record.take.id), store=store, keep=False)
    except (BadInputError, DspError) as error:
        return Reread(
            record=record,
            calibrations=calibrations,
            standing=f"The recording could not be read again: {error}",
            holds=False,
        )
    found = differences(record.take, finished.take)
    return Reread(
        record=record,
        calibrations=calibrations,
        standing=_standing(found),
        holds=found.are_none,
        model=finished.derived.model,
        impulse=finished.derived.impulse,
        defects=finished.derived.defects,
    )


def _standing(found: Differences) -> str:
    by = f"derived from it again by Dustcap {SOFTWARE_VERSION}"
    if found.are_none:
        return f"Every figure, {by}, is the same bit for bit."
    others = [one.name for one in found.numbers if not one.is_same]
    others += [one.name for one in found.curves if not one.is_same]
    more = f" and {len(others) - _MOST_NAMED} more" if len(others) > _MOST_NAMED else ""
    named = ", ".join(others[:_MOST_NAMED]) or "the verdict alone"
    return f"Other figures, {by}: {named}{more}. What is told here is as kept."
