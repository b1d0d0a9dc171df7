"""Write a chain back into its file: only what changed; comments, order and blanks stay."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Item

from hardware.chain.schema import Chain
from hardware.errors import FileError
from hardware.toml_file import read_model, read_model_text, read_text
from hardware.toml_lines import Place
from hardware.whole_text import write_text

_HEAD = "Written by Dustcap; every key is explained in docs/reference/chain-file.md."


def save_chain(path: Path, chain: Chain, *, opened: Chain) -> None:
    """Write a chain into the file that it came from.

    Parameters
    ----------
    path : Path
        The file.
    chain : Chain
        As it shall be read back.
    opened : Chain
        As it was when the file was last read or written.

    Raises
    ------
    FileError
        Somebody changed the file meanwhile, it cannot be read or written, or it is written in a
        way that cannot be changed in place.
    """
    if read_model(path, Chain) != opened:
        raise FileError(str(path), "changed since it was opened", allowed="open it again")
    write_text(path, with_chain(read_text(path), chain=chain, name=str(path)))


def save_new_chain(path: Path, chain: Chain) -> None:
    """Write a chain into a file of its own, whatever was there.

    Parameters
    ----------
    path : Path
        The file.
    chain : Chain
        As it shall be read back.

    Raises
    ------
    FileError
        The disk did not take it.
    """
    document = tomlkit.document()
    document.add(tomlkit.comment(_HEAD))
    _fill(document, chain.model_dump(exclude_unset=True))
    write_text(path, tomlkit.dumps(document))


def with_chain(text: str, *, chain: Chain, name: str) -> str:
    """Return the text of a chain file with the values of a chain.

    Parameters
    ----------
    text : str
        TOML, as a person wrote it.
    chain : Chain
        What it shall say.
    name : str
        What messages call the text.

    Returns
    -------
    str, TOML that reads back as ``chain``.

    Raises
    ------
    FileError
        Not a chain file, or written in a way that cannot be changed in place.
    """
    before = read_model_text(text, name=name, model=Chain)
    document = tomlkit.parse(text)
    try:
        for place, value in _changes(before, chain):
            _put(document, place, value)
        changed = tomlkit.dumps(document)
        if not text.endswith("\n\n"):  # a table that was added leaves no blank line at the end
            changed = changed.rstrip("\n") + "\n"
    except (ValueError, KeyError, TOMLKitError):
        changed = text
    if read_model_text(changed, name=name, model=Chain) != chain:
        raise FileError(name, "cannot be changed in place", allowed="tables, as [input.sense]")
    return changed


def _changes(before: Chain, after: Chain) -> Iterator[tuple[Place, Any]]:
    # What is as it would be without the key is left out, unless the file says it.
    old, new = before.model_dump(), after.model_dump()
    said = after.model_dump(exclude_unset=True)
    yield from _between((), old=old, new=new, said=said)


def _between(
    place: Place, *, old: Mapping[str, Any], new: Mapping[str, Any], said: Mapping[str, Any]
) -> Iterator[tuple[Place, Any]]:
    for key, value in new.items():
        here, was = (*place, key), old.get(key)
        if value == was:
            continue
        if isinstance(value, dict) and isinstance(was, dict):
            yield from _between(here, old=was, new=value, said=said.get(key) or {})
        elif isinstance(value, dict):
            yield here, said[key]
        elif key not in said:
            yield here, None
        else:
            yield here, value


def _put(document: Any, place: Place, value: Any) -> None:
    *way, last = place
    table = document
    for key in way:
        if key not in table:
            table.add(key, tomlkit.table())
        table = table[key]
    if value is None:
        if last in table:
            table.remove(last)
    elif isinstance(value, dict):
        fresh = tomlkit.table()
        _fill(fresh, value)
        fresh.add(tomlkit.nl())
        if last in table:
            table.remove(last)
        table.add(last, fresh)
    else:
        table[last] = _item(value)  # the comment behind an older value stays


def _fill(table: Any, values: Mapping[str, Any]) -> None:
    # A table's own keys come before the tables in it.
    for key, value in values.items():
        if value is not None and not isinstance(value, dict):
            table.add(key, _item(value))
    for key, value in values.items():
        if isinstance(value, dict):
            holds_tables_only = bool(value) and all(isinstance(one, dict) for one in value.values())
            fresh = tomlkit.table(is_super_table=holds_tables_only)
            _fill(fresh, value)
            table.add(key, fresh)


def _item(value: Any) -> Item:
    return tomlkit.item(value.as_posix() if isinstance(value, Path) else value)
