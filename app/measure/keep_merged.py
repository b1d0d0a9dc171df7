"""A merged response as a take of its own, which names the takes that it came from."""

import uuid

from app.measure.merge_takes import MergedTakes, merge_takes
from app.records.store import Store
from app.records.take import Take
from app.records.version import SOFTWARE_VERSION
from dsp.conformity.verdict import Verdict

NEAR, FAR, VENT = "near field", "far field", "vent"
MERGED = ", merged"  # ends the name of its procedure


def is_merged(take: Take) -> bool:
    """Whether a take's response was merged from others."""
    return NEAR in take.rests_on


def keep_merged(found: MergedTakes, *, store: Store) -> Take:
    """Keep a merged response beside the takes that it came from.

    Parameters
    ----------
    found : MergedTakes
        From ``merge_takes`` of takes of this store.
    store : Store
        Where it is kept.

    Returns
    -------
    Take as kept. It stands on the far field's recording, chain and procedure, under a name of its
    own ("..., merged") and without masks, so that neither the lot's spread nor a trial meets it;
    ``rests_on`` names all takes, ``derived_from`` the far field.

    Raises
    ------
    BadInputError
        The store does not hold one of the takes, or did not take the new one.
    """
    take = merged_take(found, store=store)
    store.keep(take, capture=store.capture(store.take(found.far)))
    return take


def merged_take(found: MergedTakes, *, store: Store) -> Take:
    """Stand a merged response in a take; nothing is kept yet.

    Raises
    ------
    BadInputError
        The store does not hold one of the takes.
    """
    ids = {NEAR: found.near, FAR: found.far} | ({VENT: found.vent} if found.vent else {})
    parts = {gave: store.take(take_id) for gave, take_id in ids.items()}
    far = parts[FAR]
    name = f"{far.procedure.name}{MERGED}"
    return Take(
        id=uuid.uuid4().hex,
        unit=found.unit,
        lot=found.lot,
        procedure=far.procedure.model_copy(update={"name": name, "masks": {}, "limits": None}),
        chain=far.chain,
        audio=far.audio,
        started_utc=far.started_utc,
        card=far.card,
        capture_sha256=far.capture_sha256,
        capture_offset=far.capture_offset,
        software_version=SOFTWARE_VERSION,
        numbers=found.merged.numbers,
        curves=found.merged.curves,
        masks={},
        verdict=Verdict.NOT_JUDGED,
        warnings=(
            *found.warnings,
            *(f"{gave}: {said}" for gave, part in parts.items() for said in part.warnings),
        ),
        derived_from=far.id,
        calibrations=tuple(sorted({one for part in parts.values() for one in part.calibrations})),
        rests_on=ids,
    )


def merge_again(take: Take, *, store: Store) -> MergedTakes:
    """Merge the takes of a merged one once more, with the crossover that was asked for.

    Raises
    ------
    BadInputError
        As ``merge_takes``.
    """
    low, high = take.numbers["crossover_low_hz"], take.numbers["crossover_high_hz"]
    vent = take.rests_on.get(VENT)
    return merge_takes(
        store.take(take.rests_on[NEAR]),
        far=store.take(take.rests_on[FAR]),
        vent=store.take(vent) if vent else None,
        asked_hz=(low.value, high.value) if low.how.startswith("as asked") else None,
    )
