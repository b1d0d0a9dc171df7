"""Put edited masks into the text of a procedure file, and whose they are; all else of it stays."""

from collections.abc import Mapping
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Array, Item, Table
from tomlkit.toml_document import TOMLDocument

from app.errors import BadInputError
from app.procedure.load import load_procedure
from app.procedure.mask_items import item
from app.procedure.mask_schema import Mask
from app.procedure.schema import LimitsNamed, Procedure
from hardware.toml_file import read_model_text, read_text
from hardware.whole_text import write_text

_ALIKE = 0.5  # share of points that must stay for their layout to stay, too


def save_masks(path: Path, procedure: Procedure) -> None:
    """Write a procedure's masks and ``[limits]`` into its file; comments and all other keys stay.

    Parameters
    ----------
    path : Path
        The file that the procedure came from.
    procedure : Procedure
        As it shall be read back.

    Raises
    ------
    FileError
        The file cannot be read as a procedure, or not written.
    BadInputError
        The file says other things than the procedure does, apart from masks and ``[limits]``:
        somebody changed it meanwhile.
    """
    load_procedure(path)
    text = with_masks(read_text(path), procedure=procedure, name=str(path))
    write_text(path, text)


def with_masks(text: str, *, procedure: Procedure, name: str) -> str:
    """Return the text of a procedure file with the masks and ``[limits]`` of a procedure.

    Parameters
    ----------
    text : str
        TOML, as a person wrote it.
    procedure : Procedure
        Whose masks it shall have.
    name : str
        What messages call the text.

    Returns
    -------
    str, TOML that reads back as ``procedure``.

    Raises
    ------
    BadInputError
        Text and procedure differ in more than masks, or masks are written in a way that cannot be
        changed in place.
    """
    before = read_model_text(text, name=name, model=Procedure)
    edited = {"masks": procedure.masks, "limits": procedure.limits}
    if before.model_copy(update=edited) != procedure:
        raise BadInputError(
            name, "changed since it was opened, in more than masks", allowed="open it again"
        )
    try:
        changed = _changed(text, before=before, procedure=procedure)
    except (ValueError, TOMLKitError):  # an inline table takes no table
        changed = text
    if read_model_text(changed, name=name, model=Procedure) != procedure:
        raise BadInputError(name, "masks cannot be changed in place", allowed="tables [masks.NAME]")
    return changed


def _changed(text: str, *, before: Procedure, procedure: Procedure) -> str:
    document = tomlkit.parse(text)
    if procedure.limits != before.limits:
        _name_limits(document, procedure.limits)
    _change_masks(_masks_table(document), before=before.masks, masks=procedure.masks)
    return tomlkit.dumps(document)


def _name_limits(document: TOMLDocument, named: LimitsNamed | None) -> None:
    if named is None:
        document.remove("limits")
        return
    if "limits" not in document:
        document.add("limits", tomlkit.table())
    table: Any = document["limits"]
    table["set"], table["revision"] = named.set, named.revision


def _change_masks(tables: Any, *, before: Mapping[str, Mask], masks: Mapping[str, Mask]) -> None:
    for gone in before.keys() - masks.keys():
        tables.remove(gone)
    for key, mask in masks.items():
        if key not in before:
            tables.add(key, tomlkit.table())
        if mask != before.get(key):
            _update(tables[key], mask, before=before.get(key))


def _masks_table(document: TOMLDocument) -> Any:
    if "masks" not in document:
        document.add("masks", tomlkit.table(is_super_table=True))
    return document["masks"]


def _update(table: Any, mask: Mask, *, before: Mask | None) -> None:
    for key in Mask.model_fields:
        value = getattr(mask, key)
        if before is not None and value == getattr(before, key):
            continue
        if value == Mask.model_fields[key].default:
            if key in table:
                table.remove(key)
        elif key in table:
            _replace(table, key, value, before=getattr(before, key))
        else:
            table.add(key, item(value))


def _replace(table: Any, key: str, value: Any, *, before: Any) -> None:
    old = table[key]
    if isinstance(old, Array) and isinstance(value, tuple) and isinstance(before, tuple):
        steps = SequenceMatcher(None, before, value, autojunk=False)
        if len(before) == len(value) or steps.ratio() >= _ALIKE:
            _edit_array(old, value, steps=steps)
            return
    new = item(value)
    if isinstance(old, Item) and not isinstance(old, Table):
        # The comment behind the old value belongs to the key.
        new.trivia.comment_ws, new.trivia.comment = old.trivia.comment_ws, old.trivia.comment
        new.trivia.indent, new.trivia.trail = old.trivia.indent, old.trivia.trail
    table[key] = new


def _edit_array(array: Array, value: tuple[Any, ...], *, steps: SequenceMatcher[Any]) -> None:
    # From the end, so that the places before it keep their numbers.
    for what, start, stop, first, last in reversed(steps.get_opcodes()):
        if what == "equal":
            continue
        kept = min(stop - start, last - first)
        for number in range(kept):
            array[start + number] = item(value[first + number])
        for number in reversed(range(start + kept, stop)):
            del array[number]
        for number in range(first + kept, last):
            array.insert(start + number - first, item(value[number]))
