"""Change single values of a model that came from a TOML file, held to that file's rules."""

from collections.abc import Mapping
from functools import cache
from typing import Any, TypeVar

from pydantic import ValidationError

from hardware.errors import ValueRefusedError
from hardware.toml_allowed import Schema, resolve
from hardware.toml_complaint import Complaint, complaints, dotted
from hardware.toml_lines import Place
from hardware.toml_model import FileModel

M = TypeVar("M", bound=FileModel)


def with_values(model: M, values: Mapping[Place, object]) -> M:
    """Return a model with some of its values changed, and validated as a whole.

    Parameters
    ----------
    model : FileModel
        As it is.
    values : mapping of path to value
        What to change; None leaves a key out, so that its default holds. Tables on the way that
        are not there yet are made.

    Returns
    -------
    FileModel, of the same type.

    Raises
    ------
    ValueRefusedError
        Names the first thing that is wrong, one of the changed keys if possible.
    """
    document = model.model_dump(exclude_unset=True)
    for place, value in values.items():
        _put(document, place, value)
    kind = type(model)
    try:
        return kind.model_validate(document)
    except ValidationError as error:
        found = complaints(error.errors(include_url=False), root=schema_of(kind))
    first = _first(found, values)
    raise ValueRefusedError(
        dotted(first.place), first.what, given=first.given, allowed=first.allowed
    )


def value_at(model: FileModel, place: Place) -> Any:
    """Return the value at a path; None where it, or a table on the way, is not there.

    Parameters
    ----------
    model : FileModel
        Where to look.
    place : tuple of str and int
        Path of the key; elements of arrays from 0.

    Returns
    -------
    The value.
    """
    found: Any = model
    for part in place:
        if found is None:
            return None
        found = found[part] if isinstance(part, int) else getattr(found, part)
    return found


@cache
def schema_of(kind: type[FileModel]) -> Schema:
    """Return the JSON Schema of a model, made once.

    Parameters
    ----------
    kind : type
        The model.

    Returns
    -------
    mapping
    """
    return kind.model_json_schema()


def node_at(kind: type[FileModel], place: Place) -> Schema:
    """Return what the schema of a model says about one key; no alternatives on the way.

    Parameters
    ----------
    kind : type
        The model.
    place : tuple of str
        Path of the key.

    Returns
    -------
    mapping, resolved.
    """
    root = schema_of(kind)
    node = resolve(root, root=root)
    for part in place:
        node = resolve(node["properties"][part], root=root)
    return node


def _put(document: dict[str, Any], place: Place, value: object) -> None:
    *way, last = place
    table: Any = document
    for part in way:
        if isinstance(part, str) and table.get(part) is None:
            table[part] = {}
        elif isinstance(table[part], tuple):
            table[part] = list(table[part])
        table = table[part]
    if value is None:
        table.pop(last, None)
    else:
        table[last] = value


def _first(found: list[Complaint], values: Mapping[Place, object]) -> Complaint:
    return next((one for one in found if one.place in values), found[0])
