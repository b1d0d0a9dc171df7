"""Refuse to keep what does not belong together, before anything is written."""

from collections.abc import Mapping, Set

from sqlalchemy import Connection, select

from app.errors import BadInputError
from app.records import tables
from app.records.captures import audio_hash, capture_hash
from app.records.filters import aware
from app.records.take import Take
from dsp import Floats
from hardware.card import Capture


def check_capture(take: Take, *, capture: Capture) -> None:
    """Refuse a take that does not stand on this recording, or moments without a zone."""
    where = f"take {take.id}"
    aware(where, take.started_utc)
    aware(where, capture.started_utc)
    if capture.samples.ndim != 2 or 0 in capture.samples.shape:
        raise BadInputError(
            where, "empty recording", given=capture.samples.shape, allowed="(n, channels)"
        )
    if (found := capture_hash(capture)) != take.capture_sha256:
        raise BadInputError(
            where, "another recording than it names", given=found, allowed=take.capture_sha256
        )


def by_hash(take: Take, *, audio: Mapping[str, Floats]) -> dict[str, Floats]:
    """Return samples of played files by their hash; refuse those that the take does not name."""
    for path, samples in audio.items():
        if take.audio.get(path) != audio_hash(samples):
            raise BadInputError(f"take {take.id}", "other samples than it names", given=path)
    return {take.audio[path]: samples for path, samples in audio.items()}


def check_audio(take: Take, *, have: Set[str]) -> None:
    """Refuse a take that names the samples of a file which nobody has."""
    for path, sha256 in take.audio.items():
        if sha256 not in have:
            raise BadInputError(f"take {take.id}", "samples are missing", given=path)


def refuse_known(take: Take, *, on: Connection) -> None:
    """Refuse a take whose id is in the store."""
    same = select(tables.takes.c.row).where(tables.takes.c.id == take.id)
    if on.execute(same).first() is not None:
        raise BadInputError(f"take {take.id}", "is in the store already")
