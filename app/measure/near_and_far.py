"""Which takes may be near field and far field of a unit, and both, as they now stand, merged."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from app.errors import BadInputError
from app.measure.again import Opened, derive_again
from app.measure.areas import geometry_of
from app.measure.drive_level import stated_v_rms
from app.measure.keep_merged import MERGED, keep_merged
from app.measure.merge_takes import MergedTakes, merge_takes
from app.measure.surroundings import far_over_heard
from app.procedure.schema import Geometry, Procedure
from app.records.store import Store
from app.records.take import Take
from dsp import Curve
from dsp.near_field.overlap import Overlap
from hardware.toml_edit import with_values

MOST_LEFT_DB = 0.5  # rms, a convention of this house: more is no longer the scatter of a gate
_LOOKED_AT = 24  # takes


@dataclass(frozen=True, slots=True, kw_only=True)
class Stood:
    """A stored take, and where its microphone stood."""

    id: str
    number: int
    unit: str | None
    geometry: Geometry

    @property
    def is_near(self) -> bool:
        """Whether it is a near field."""
        return self.geometry.mounting == "near_field"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A take that is merged, with what is known better now of where its microphone stood.

    Attributes
    ----------
    take_id : str
        A stored take.
    corrected : tuple of (str, float)
        Keys of ``[geometry]`` with other values than it was kept with.
    """

    take_id: str
    corrected: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MergeWish:
    """What is to be merged.

    Attributes
    ----------
    near, far, vent : Part
        ``vent`` None: none is added.
    low_hz, high_hz : float or None
        Hz, where to cross over; None: what suits.
    """

    near: Part
    far: Part
    vent: Part | None = None
    low_hz: float | None = None
    high_hz: float | None = None

    @property
    def parts(self) -> tuple[Part, ...]:
        """All of them."""
        return (self.near, self.far) if self.vent is None else (self.near, self.far, self.vent)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Joined:
    """Two fields and what became of them.

    Attributes
    ----------
    near, far : Take
        As they were merged.
    found : MergedTakes
        The response.
    suits : Overlap
        Where to cross over if nobody asks.
    refused : str
        Why what was asked for is not used; empty where it is, or nothing was.
    scaled_db : float
        dB by which the near field is lowered to the far field's reference distance.
    louder_db : float
        dB for the far field's voltage instead of the near field's.
    difference : Curve
        dB, far less near field before it was raised, over the far field's points that the near
        field has, too; valid where both hold.
    """

    near: Take
    far: Take
    found: MergedTakes
    suits: Overlap
    refused: str
    scaled_db: float
    louder_db: float
    difference: Curve

    @property
    def is_alike(self) -> bool:
        """Whether both tell the same in the crossover, but for a constant."""
        return self.found.merged.left_db <= MOST_LEFT_DB


def stood(store: Store, *, unit: str | None) -> tuple[Stood, ...]:
    """Find the takes of which some may be merged: the newest, and the newest of a unit.

    Parameters
    ----------
    store : Store
        Where to look.
    unit : str or None
        Serial, of the unit that is of interest.

    Returns
    -------
    tuple of Stood, the newest first; takes that were merged already are left out.
    """
    summaries = store.find(limit=_LOOKED_AT)
    if unit is not None:
        summaries += store.find(limit=_LOOKED_AT, serial=unit)
    procedures: dict[str, Procedure | None] = {}
    found: dict[str, Stood] = {}
    for one in summaries:
        if one.procedure_sha256 not in procedures:
            procedures[one.procedure_sha256] = store.revised_procedure(one.procedure_sha256)
        procedure = procedures[one.procedure_sha256]
        if procedure is None or procedure.name.endswith(MERGED):
            continue
        found[one.id] = Stood(
            id=one.id, number=one.number, unit=one.unit, geometry=geometry_of(procedure)
        )
    return tuple(sorted(found.values(), key=lambda one: -one.number))


def taken(part: Part, *, store: Store, opened: Callable[[str], Opened], keep: bool = False) -> Take:
    """Return the take of a part; one that is corrected is derived again, its gate as it was.

    Parameters
    ----------
    part : Part
        What.
    store : Store
        Where it is kept.
    opened : callable
        Gives a stored take, by its id, with its recording.
    keep : bool
        Whether what is derived again is kept, as a take of its own.

    Raises
    ------
    ValueRefusedError
        A value that a procedure may not have.
    BadInputError
        No such take, or its recording is missing, damaged or changed.
    """
    if not part.corrected:
        return store.take(part.take_id)
    values: dict[tuple[str | int, ...], object] = {
        ("geometry", key): value for key, value in part.corrected
    }
    was = opened(part.take_id)
    procedure = with_values(was.loaded.procedure, values)
    now = replace(was, loaded=replace(was.loaded, procedure=procedure))
    return derive_again(now, store=store, keep=keep).take


def join(wish: MergeWish, *, take_of: Callable[[Part], Take]) -> Joined:
    """Merge what is wished for.

    Parameters
    ----------
    wish : MergeWish
        What.
    take_of : callable
        Gives a part as a take, corrections included.

    Returns
    -------
    Joined. A crossover that cannot be had is told in ``refused``, and what suits is used.

    Raises
    ------
    BadInputError
        The takes cannot be merged at all.
    """
    near, far = take_of(wish.near), take_of(wish.far)
    vent = None if wish.vent is None else take_of(wish.vent)
    found = merge_takes(near, far=far, vent=vent)
    suits, refused = found.merged.overlap, ""
    if wish.low_hz is not None or wish.high_hz is not None:
        asked = (wish.low_hz or suits.low_hz, wish.high_hz or suits.high_hz)
        try:
            found = merge_takes(near, far=far, vent=vent, asked_hz=asked)
        except BadInputError as error:
            refused = error.sentence
    geometry, there = geometry_of(near.procedure), far.procedure.geometry.reference_distance_m
    scaled = far_over_heard(geometry, ambient=near.chain.chain.ambient, distance_m=there)
    return Joined(
        near=near,
        far=far,
        found=found,
        suits=suits,
        refused=refused,
        scaled_db=20 * math.log10(scaled),
        louder_db=20 * math.log10(_volts(far) / _volts(near)),
        difference=_difference(*found.parts),
    )


def keep_joined(
    wish: MergeWish, *, store: Store, opened: Callable[[str], Opened]
) -> tuple[Take, tuple[Take, ...]]:
    """Keep the merged response; takes that were corrected are derived again and kept before.

    Parameters
    ----------
    wish : MergeWish
        What.
    store : Store
        Where.
    opened : callable
        Gives a stored take, by its id, with its recording.

    Returns
    -------
    The merged take, and those that were derived again for it.

    Raises
    ------
    BadInputError
        The takes cannot be merged, or the store did not take one.
    """
    join(wish, take_of=lambda part: taken(part, store=store, opened=opened))
    again = {part: taken(part, store=store, opened=opened, keep=True) for part in wish.parts}
    joined = join(wish, take_of=again.__getitem__)
    derived = tuple(take for part, take in again.items() if part.corrected)
    return keep_merged(joined.found, store=store), derived


def _volts(take: Take) -> float:
    # Known wherever merging went well.
    return stated_v_rms(take.procedure, chain=take.chain.chain) or math.nan


def _difference(near: Curve, far: Curve) -> Curve:
    hz = far.frequency_hz
    there = (hz >= near.frequency_hz[0]) & (hz <= near.frequency_hz[-1])
    hz = hz[there]
    under = np.interp(np.log(hz), np.log(near.frequency_hz), near.value)
    return Curve(
        frequency_hz=hz,
        value=far.value[there] - under,
        unit="dB",
        valid=far.valid.within(near.valid),
    )
