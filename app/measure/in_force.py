"""Which revision of its limit set a procedure should run, and how a draft becomes the next one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from app.errors import BadInputError
from app.procedure.loaded import LoadedProcedure
from app.procedure.mask_schema import Mask
from app.procedure.procedure_limits import with_revision
from app.procedure.save import save_masks, with_masks
from app.procedure.schema import Procedure
from app.procedure.shipped import shipped
from app.records.limit_revisions import LimitRevision
from app.records.store import Store
from hardware.errors import FileError
from hardware.toml_file import read_text


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class InForce:
    """The limit set of a procedure.

    Attributes
    ----------
    limit_set : str
        Its name: the one that the procedure names, or else that of the procedure.
    revisions : tuple of LimitRevision
        The newest first; none where nothing was saved yet.
    approved : LimitRevision or None
        The one that lines run.
    masks : mapping of str to Mask
        Of that one; of the given procedure where none is approved.
    """

    limit_set: str
    revisions: tuple[LimitRevision, ...]
    approved: LimitRevision | None
    masks: Mapping[str, Mask]

    @property
    def next_number(self) -> int:
        """The number that a draft saved now would have."""
        return self.revisions[0].number + 1 if self.revisions else 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Runs:
    """A procedure that runs a revision.

    Attributes
    ----------
    revision : LimitRevision
        Approved.
    loaded : LoadedProcedure
        With its masks, and its name.
    file : Path or None
        Whose text says so, too; None for a procedure that ships, or that was not written.
    unwritten : str
        Why the file does not say so; empty where all is well.
    """

    revision: LimitRevision
    loaded: LoadedProcedure
    file: Path | None
    unwritten: str = ""


def limit_set_of(procedure: Procedure) -> str:
    """Return the name of the set that a procedure's limits belong to."""
    return procedure.limits.set if procedure.limits is not None else procedure.name


def in_force(store: Store, procedure: Procedure) -> InForce:
    """Return the limit set of a procedure.

    Parameters
    ----------
    store : Store
        Where revisions are kept.
    procedure : Procedure
        Its own masks hold where no revision is approved.
    """
    name = limit_set_of(procedure)
    revisions = store.limit_revisions(name)
    approved = next((one for one in revisions if one.state == "approved"), None)
    return InForce(
        limit_set=name,
        revisions=revisions,
        approved=approved,
        masks=procedure.masks if approved is None else approved.masks,
    )


def revision_among(
    revisions: Sequence[LimitRevision], procedure: Procedure
) -> LimitRevision | None:
    """Return the revision that has just the masks of a procedure; None where none has.

    Of several that have them it is the one that the procedure names, or else the newest.
    """
    alike = [one for one in revisions if dict(one.masks) == procedure.masks]
    named = procedure.limits.revision if procedure.limits is not None else None
    return next((one for one in alike if one.number == named), next(iter(alike), None))


def approve(
    store: Store,
    loaded: LoadedProcedure,
    revision: LimitRevision,
    *,
    by: str,
    why: str,
    seen: int | None,
) -> Runs:
    """Approve a revision, and let a procedure run it.

    Parameters
    ----------
    store : Store
        Where revisions are kept.
    loaded : LoadedProcedure
        The procedure, and the file that it came from; one that ships stays as it is.
    revision : LimitRevision
        Of its limit set.
    by, why : str
        Who approves, and for what reason.
    seen : int or None
        Number of the approved revision that it was held against; None: there was none.

    Returns
    -------
    Runs; a disk that did not take the file at the end is told there, the approval stands.

    Raises
    ------
    BadInputError
        No name or no reason; another revision was approved meanwhile; or the file says other
        things by now. Nothing is approved then.
    FileError
        The file cannot be read; nothing is approved then.
    """
    _check_file(loaded, revision)
    done = store.approve_limits(
        revision.set_name, revision.number, by=by.strip(), why=why.strip(), seen=seen
    )
    try:
        return run_revision(loaded, done)
    except FileError as error:
        return Runs(revision=done, loaded=loaded, file=None, unwritten=str(error))


def run_revision(loaded: LoadedProcedure, revision: LimitRevision) -> Runs:
    """Write the masks of an approved revision, and which it is, into a procedure and its file.

    Raises
    ------
    BadInputError
        The revision is not approved, or the file says other things by now.
    FileError
        The file cannot be read or written.
    """
    if revision.state != "approved":
        raise BadInputError(
            "limits", "a line runs approved ones only", given=f"a {revision.state} revision"
        )
    changed, file = _given(loaded, revision), _own_file(loaded)
    if file is not None:
        save_masks(file, changed.procedure)
    return Runs(revision=revision, loaded=changed, file=file)


def _check_file(loaded: LoadedProcedure, revision: LimitRevision) -> None:
    """Refuse what could not be written, before anything is approved."""
    file = _own_file(loaded)
    if file is not None:
        with_masks(read_text(file), procedure=_given(loaded, revision).procedure, name=str(file))


def _given(loaded: LoadedProcedure, revision: LimitRevision) -> LoadedProcedure:
    procedure = with_revision(
        loaded.procedure,
        revision.masks,
        limit_set=revision.set_name,
        revision=revision.number,
    )
    return replace(loaded, procedure=procedure)


def _own_file(loaded: LoadedProcedure) -> Path | None:
    file = Path(loaded.file)
    if not file.is_file():
        return None
    ships = {one.resolve() for one in shipped().values()}
    return None if file.resolve() in ships else file
