"""Procedures and chains as text, every value spelled out: no default can change one later."""

import hashlib
import json
from dataclasses import dataclass
from typing import TypeVar

from pydantic import ValidationError

from app.errors import BadInputError
from hardware.toml_model import FileModel

Model = TypeVar("Model", bound=FileModel)


@dataclass(frozen=True, slots=True, kw_only=True)
class Snapshot:
    """JSON of a procedure or a chain, and the SHA-256 of that text."""

    document: str
    sha256: str


def snapshot(model: FileModel) -> Snapshot:
    """Write ``model`` down whole."""
    # json, not pydantic's own writer: that turns NaN into null.
    document = json.dumps(model.model_dump(mode="json"), ensure_ascii=False, separators=(",", ":"))
    return Snapshot(document=document, sha256=hashlib.sha256(document.encode()).hexdigest())


def read_snapshot(document: str, *, kind: type[Model], where: str) -> Model:
    """Read what ``snapshot`` wrote.

    Raises
    ------
    BadInputError
        This version no longer understands it.
    """
    try:
        return kind.model_validate(json.loads(document))
    except (ValidationError, ValueError) as error:
        cause = error.errors()[0] if isinstance(error, ValidationError) else None
        detail = f"{'.'.join(map(str, cause['loc']))}: {cause['msg']}" if cause else str(error)
        raise BadInputError(
            where, f"this version does not understand the stored {kind.__name__}: {detail}"
        ) from error
