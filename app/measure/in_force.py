"""Which revision of a procedure is in force, and how a draft becomes the next one."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from app.errors import BadInputError
from app.procedure.loaded import LoadedProcedure
from app.procedure.save import save_masks
from app.procedure.schema import Procedure
from app.procedure.shipped import shipped
from app.records.revisions import Revision
from app.records.snapshots import snapshot
from app.records.store import Store


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class InForce:
    """Revisions of a procedure.

    Attributes
    ----------
    revisions : tuple of Revision
        The newest first; none where the store never met the procedure.
    base : Revision or None
        The one that holds: signed last, or else met last.
    procedure : Procedure
        What that one says; the given one where there is none.
    """

    revisions: tuple[Revision, ...]
    base: Revision | None
    procedure: Procedure


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A revision that was saved, and the file that was written; None for one that ships."""

    revision: Revision
    file: Path | None


def in_force(store: Store, procedure: Procedure) -> InForce:
    """Return the revision of a procedure's name that holds.

    Parameters
    ----------
    store : Store
        Where revisions are kept.
    procedure : Procedure
        Stands for itself where the store has no revision.
    """
    revisions = store.revisions(procedure.name)
    signed = [one for one in revisions if one.by and one.at_utc is not None]
    base = max(signed, key=lambda one: str(one.at_utc), default=next(iter(revisions), None))
    found = store.revised_procedure(base.sha256) if base is not None else None
    return InForce(revisions=revisions, base=base, procedure=found or procedure)


def revision_among(revisions: Sequence[Revision], procedure: Procedure) -> Revision | None:
    """Return the revision that says word by word what a procedure says; None where none does."""
    sha256 = snapshot(procedure).sha256
    return next((one for one in revisions if one.sha256 == sha256), None)


def keep_revision(store: Store, loaded: LoadedProcedure, *, by: str, why: str) -> Kept:
    """Save a draft: its masks into its file, and the whole into the store, signed.

    Parameters
    ----------
    store : Store
        Where revisions are kept.
    loaded : LoadedProcedure
        The draft, and the file that it came from; one that ships stays as it is.
    by, why : str
        Who signs, and for what reason.

    Returns
    -------
    Kept

    Raises
    ------
    BadInputError
        No name or no reason; or the file says something else by now.
    FileError
        The file cannot be read or written; the store has no new revision then.
    """
    for key, text in (("by", by), ("reason", why)):
        if not text.strip():
            raise BadInputError(key, "missing", allowed="a few words")
    file = _own_file(loaded)
    if file is not None:
        save_masks(file, loaded.procedure)
    revision = store.save_revision(loaded.procedure, by=by.strip(), why=why.strip())
    return Kept(revision=revision, file=file)


def _own_file(loaded: LoadedProcedure) -> Path | None:
    file = Path(loaded.file)
    if not file.is_file():
        return None
    ships = {one.resolve() for one in shipped().values()}
    return None if file.resolve() in ships else file
