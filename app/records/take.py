"""One take: a capture with its conditions, what was derived from it, and its verdict."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from app.procedure.schema import Procedure
from dsp import Curve, Number
from dsp.conformity.verdict import MaskResult, Verdict
from hardware.chain.snapshot import ChainSnapshot


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """A likely cause of a failure, with how likely it is and why."""

    cause: str
    confidence: float
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Take:
    """Everything that a figure needs to be defended later.

    Attributes
    ----------
    id : str
        32 hex digits, chosen when the take begins.
    unit, lot : str or None
        Serial of the specimen, and its production lot.
    procedure, chain : Procedure, ChainSnapshot
        As they were, whole.
    audio : mapping of str to str
        For excitations from files: path as the procedure names it, to the SHA-256 of its samples.
    started_utc : datetime
        Aware, UTC.
    card : str
        What recorded it.
    capture_sha256 : str
        Content hash of the raw recording.
    capture_offset : int
        Frame of the recording at which the excitation starts.
    software_version : str
        Of Dustcap, when it was derived.
    numbers, curves, masks : mapping by name
        What was derived, and how it stands against the limits.
    verdict : Verdict
        Of all masks together.
    warnings : tuple of str
        One sentence each: clipping, overload, noise, stale calibration.
    findings : tuple of Finding
        Most likely first.
    reference_take : str or None
        Id of the take that relative masks were compared with.
    derived_from : str or None
        Id of the take whose capture this one was derived from again.
    calibrations : tuple of str
        Ids of the calibrations that gave the values of its chain, sorted.
    rests_on : mapping of str to str
        Ids of other takes without which its figures could not be, by what each gave: "added
        mass", "closed box", "near field", "far field", "vent".
    """

    id: str
    unit: str | None
    lot: str | None
    procedure: Procedure
    chain: ChainSnapshot
    audio: Mapping[str, str]
    started_utc: datetime
    card: str
    capture_sha256: str
    capture_offset: int
    software_version: str
    numbers: Mapping[str, Number]
    curves: Mapping[str, Curve]
    masks: Mapping[str, MaskResult]
    verdict: Verdict
    warnings: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    reference_take: str | None = None
    derived_from: str | None = None
    calibrations: tuple[str, ...] = ()
    rests_on: Mapping[str, str] = field(default_factory=dict)
