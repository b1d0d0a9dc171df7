"""Join what was derived with its conditions and its verdict into a take."""

import uuid
from dataclasses import dataclass

from app.measure.compared import Compared, compared_with
from app.measure.derived import Derived
from app.measure.findings import findings
from app.measure.judge import judge
from app.measure.proven import stands_on
from app.procedure.loaded import LoadedProcedure
from app.records.captures import audio_hash, capture_hash
from app.records.store import Store
from app.records.take import Take
from app.records.version import SOFTWARE_VERSION
from hardware.card import Capture
from hardware.chain.snapshot import ChainSnapshot


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Job:
    """What to measure, on what, and where to keep it.

    Attributes
    ----------
    procedure, chain : LoadedProcedure, ChainSnapshot
        As loaded from their files.
    unit, lot : str or None
        Serial of the specimen, and its production lot.
    store : Store or None
        Where the take is kept; None: nowhere.
    check_levels : bool
        Play quietly first, and turn the drive down where an input would clip.
    """

    procedure: LoadedProcedure
    chain: ChainSnapshot
    unit: str | None = None
    lot: str | None = None
    store: Store | None = None
    check_levels: bool = False


def compare(job: Job) -> Compared:
    """Gather what the take of a job will be held against to find causes."""
    return compared_with(
        job.store,
        procedure=job.procedure.procedure.name,
        chain=job.chain.chain,
        lot=job.lot,
        unit=job.unit,
    )


def make_take(
    job: Job,
    *,
    capture: Capture,
    derived: Derived,
    derived_from: str | None = None,
    compared: Compared | None = None,
) -> Take:
    """Judge what was derived, and stand it in a take; nothing is stored yet.

    Parameters
    ----------
    job : Job
        Whose procedure, chain and specimen; its store gives the reference take.
    capture : Capture
        What it was derived from.
    derived : Derived
        What was read out of it.
    derived_from : str or None
        Id of the take whose stored capture this is.
    compared : Compared or None
        From ``compare`` for the same job; None: gathered here.

    Returns
    -------
    Take
    """
    procedure = job.procedure.procedure
    reference = job.store.reference(procedure.name) if job.store else None
    judgement = judge(derived, procedure=procedure, reference=reference)
    relative = any(mask.relative_to for mask in procedure.masks.values())
    against = compared or compare(job)
    return Take(
        id=uuid.uuid4().hex,
        unit=job.unit,
        lot=job.lot,
        procedure=procedure,
        chain=job.chain,
        audio={path: audio_hash(samples) for path, samples in job.procedure.audio.items()},
        started_utc=capture.started_utc,
        card=capture.card,
        capture_sha256=capture_hash(capture),
        capture_offset=derived.capture_offset,
        software_version=SOFTWARE_VERSION,
        numbers=derived.numbers,
        curves=derived.curves,
        masks=judgement.masks,
        verdict=judgement.verdict,
        warnings=(*derived.warnings, *against.warnings),
        findings=findings(
            numbers=derived.numbers,
            curves=derived.curves,
            verdict=judgement.verdict,
            usuals=against.usuals,
            signatures=against.signatures,
        ),
        reference_take=reference.id if reference and relative else None,
        derived_from=derived_from,
        calibrations=stands_on(job.store, chain=job.chain.chain, at=capture.started_utc),
        rests_on=derived.rests_on,
    )
