"""A ladder of levels: the same procedure from quiet to loud, and what a unit does on the way up."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from app.errors import BadInputError
from app.measure.drive_level import drive_v_rms, stated_v_rms, turned_down
from app.measure.second import ADDED_MASS, CLOSED_BOX
from app.measure.unit_fit import UnitFit
from app.procedure.loaded import LoadedProcedure
from app.records.store import Store
from app.records.take import Take
from dsp import Curve
from dsp.errors import DspError
from dsp.parameters.over_drive import Driven, OverDrive, compression, over_drive
from hardware.chain.schema import Chain

MOST_STEPS = 12
_SAME = 1e-3  # relative; two drives nearer than this are one
_MOST_TAKES = 40
_TWO = 2


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Climbed:
    """What a unit did on the way up.

    Attributes
    ----------
    numbers : tuple of int
        Running numbers of the takes, quietest first.
    parameters : OverDrive
        At each drive.
    compression : mapping of V rms to Curve
        What each louder level lacks of what the quietest leads to expect, dB.
    """

    numbers: tuple[int, ...]
    parameters: OverDrive
    compression: Mapping[float, Curve]


def ladder(
    loaded: LoadedProcedure, *, chain: Chain, steps: int, step_db: float
) -> tuple[LoadedProcedure, ...]:
    """Return a procedure at several levels, quietest first; the last is as it states.

    Raises
    ------
    BadInputError
        Fewer than two steps, more than twelve, or steps that do not rise.
    """
    if not _TWO <= steps <= MOST_STEPS:
        raise BadInputError("steps", "number", given=steps, allowed=f"2 to {MOST_STEPS}")
    if not 0 < step_db < math.inf:
        raise BadInputError("step", "does not rise", given=f"{step_db:g} dB", allowed="above 0 dB")
    below = [step_db * (steps - 1 - rung) for rung in range(steps)]
    return tuple(turned_down(loaded, scale=10 ** (-db / 20), chain=chain) for db in below)


def climb(
    store: Store, *, like: Take, fit_of: Callable[[Store, str], UnitFit], but: str = ""
) -> Climbed:
    """Read parameters and compression from the takes of a unit at several drives.

    Parameters
    ----------
    store : Store
        Where they are kept; of several at one drive the newest counts.
    like : Take
        One of them: its unit and procedure are looked for.
    fit_of : callable
        Gives the model of a take by its id.
    but : str
        Id, or its first digits, of a take that does not count: the one that a procedure names as
        that with an added mass, or in a test box. Those that others rest on are left out anyway.

    Raises
    ------
    BadInputError
        The take has no serial, or there are fewer than two drives.
    DspError
        A model does not fit.
    """
    rungs = _rungs(store, like=like, but=but)
    if len(rungs) < _TWO:
        raise BadInputError(
            "levels", "fewer than two of this unit by this procedure", allowed="two or more"
        )
    driven = [Driven(drive_v=volts, fit=fit_of(store, take.id).fit) for volts, take in rungs]
    return Climbed(
        numbers=tuple(store.number(take.id) for _, take in rungs),
        parameters=over_drive(driven, cold_c=like.chain.chain.ambient.temperature_c),
        compression=_compression(rungs),
    )


def _rungs(store: Store, *, like: Take, but: str) -> list[tuple[float, Take]]:
    if like.unit is None:
        raise BadInputError("levels", "the take has no serial, so others of it are not known")
    found = store.find(serial=like.unit, procedure=like.procedure.name, limit=_MOST_TAKES)
    rungs: list[tuple[float, Take]] = []
    for one in found:
        take = store.take(one.id)
        volts = drive_v_rms(take.procedure, chain=take.chain.chain)
        if volts is None or "impedance" not in take.curves or take.unit != like.unit:
            continue
        if not _is_as_bare(take, like=like, but=but, store=store):
            continue
        if not any(math.isclose(volts, known, rel_tol=_SAME) for known, _ in rungs):
            rungs.append((volts, take))
    return sorted(rungs, key=lambda rung: rung[0])


def _is_as_bare(take: Take, *, like: Take, but: str, store: Store) -> bool:
    # With a mass on the cone, or in a box, it is another unit: its resonance tells of no level.
    if take.procedure.geometry.mounting != like.procedure.geometry.mounting:
        return False
    played = take.derived_from or take.id
    if but and played.startswith(but):
        return False
    return not store.gave(played) & {ADDED_MASS, CLOSED_BOX}


def _compression(rungs: Sequence[tuple[float, Take]]) -> dict[float, Curve]:
    (_, low), *louder = rungs
    below, stated = low.curves.get("level"), stated_v_rms(low.procedure, chain=low.chain.chain)
    out: dict[float, Curve] = {}
    for volts, take in louder:
        level = take.curves.get("level")
        own = stated_v_rms(take.procedure, chain=take.chain.chain)
        if level is None or below is None or own is None or stated is None:
            continue
        try:
            out[volts] = compression(level, low=below, drive_ratio=own / stated)
        except DspError:
            continue  # read at other frequencies: nothing to compare
    return out
