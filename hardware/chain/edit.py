"""Change a chain value by value, link by link, held to the rules of its file."""

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from hardware.chain.response_csv import read_response
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.chain.virtual_schema import Virtual
from hardware.errors import FileError, ValueRefusedError
from hardware.toml_edit import value_at, with_values
from hardware.toml_lines import Place


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Draft:
    """An input that is being wired: what is said of it so far, too little to stand in a chain.

    Attributes
    ----------
    name : str
        Of the input: pressure, sense, terminal, loopback or ambient.
    values : mapping of key to value
        What is known.
    missing : str
        The next key that must be known.
    """

    name: str
    values: Mapping[str, object] = field(default_factory=dict)
    missing: str = ""


def with_chain_values(snapshot: ChainSnapshot, values: Mapping[Place, object]) -> ChainSnapshot:
    """Return a chain with some values changed; None leaves a key out.

    Parameters
    ----------
    snapshot : ChainSnapshot
        As it is.
    values : mapping of path to value
        Keys of the chain file; for the microphone's response see ``with_response``.

    Returns
    -------
    ChainSnapshot

    Raises
    ------
    ValueRefusedError
        Names the key that is wrong.
    """
    return snapshot.model_copy(update={"chain": with_values(snapshot.chain, values)})


def with_response(snapshot: ChainSnapshot, path: Path | None, *, folder: Path) -> ChainSnapshot:
    """Return a chain with another response table of its microphone.

    Parameters
    ----------
    snapshot : ChainSnapshot
        With a microphone.
    path : Path or None
        CSV, relative to the chain file or absolute; None for no table.
    folder : Path
        Of the chain file.

    Returns
    -------
    ChainSnapshot

    Raises
    ------
    ValueRefusedError
        No such file, or not such a table.
    """
    place: Place = ("input", "pressure", "response")
    if path is None:
        changed = with_chain_values(snapshot, {place: None})
        return changed.model_copy(update={"response": None})
    key = ".".join(map(str, place))
    if not (folder / path).is_file():
        allowed = "a CSV file: Hz, dB[, deg]"
        raise ValueRefusedError(key, "no such file", given=path, allowed=allowed)
    try:
        table = read_response(folder / path)
    except FileError as error:
        line = f"line {error.line}: " if error.line else ""
        raise ValueRefusedError(
            key, f"{line}{error.what}", given=error.given, allowed=error.allowed
        ) from error
    changed = with_chain_values(snapshot, {place: path})
    return changed.model_copy(update={"response": table})


def without_input(snapshot: ChainSnapshot, name: str) -> ChainSnapshot:
    """Return a chain in which an input is not wired.

    Parameters
    ----------
    snapshot : ChainSnapshot
        As it is.
    name : str
        pressure, sense, terminal, loopback or ambient.

    Returns
    -------
    ChainSnapshot

    Raises
    ------
    ValueRefusedError
        Nothing would be left to measure with.
    """
    changed = with_chain_values(snapshot, {("input", name): None})
    return changed if name != "pressure" else changed.model_copy(update={"response": None})


def with_draft(snapshot: ChainSnapshot, draft: Draft) -> ChainSnapshot | Draft:
    """Wire an input if all is known that it must have.

    Parameters
    ----------
    snapshot : ChainSnapshot
        In which it is not wired yet.
    draft : Draft
        What is said of it.

    Returns
    -------
    ChainSnapshot; or Draft, with what is missing next.

    Raises
    ------
    ValueRefusedError
        Something that is said of it cannot be.
    """
    table: Place = ("input", draft.name)
    try:
        return with_chain_values(
            snapshot, {(*table, key): value for key, value in draft.values.items()}
        )
    except ValueRefusedError as error:
        key = error.key.removeprefix(f"input.{draft.name}.")
        if not error.sentence.startswith("missing"):
            raise
        return Draft(name=draft.name, values=draft.values, missing=key)


def on_rig(snapshot: ChainSnapshot, rig: Virtual) -> ChainSnapshot:
    """Return the chain with the rig in software as its card.

    Parameters
    ----------
    snapshot : ChainSnapshot
        As it is.
    rig : Virtual
        What lies on it.

    Returns
    -------
    ChainSnapshot
    """
    gone: dict[Place, object] = {("device", key): None for key in _NAMES}
    values: dict[Place, object] = {
        **gone,
        ("device", "backend"): "virtual",
        ("virtual",): rig.model_dump(exclude_unset=True),
    }
    return with_chain_values(snapshot, values)


def on_card(
    snapshot: ChainSnapshot,
    *,
    name: str | None = None,
    output_name: str | None = None,
    input_name: str | None = None,
    host_api: str | None = None,
) -> ChainSnapshot:
    """Return the chain with a sound card, or two, as its device.

    Parameters
    ----------
    snapshot : ChainSnapshot
        As it is.
    name, output_name, input_name, host_api : str or None
        As the chain file names them.

    Returns
    -------
    ChainSnapshot

    Raises
    ------
    ValueRefusedError
        Names that do not go together.
    """
    values: dict[Place, object] = {
        ("virtual",): None,
        ("device", "backend"): "soundcard",
        ("device", "name"): name,
        ("device", "output_name"): output_name,
        ("device", "input_name"): input_name,
        ("device", "host_api"): host_api,
    }
    return with_chain_values(snapshot, values)


def moved(chain: Chain, *, old: Path, new: Path) -> Chain:
    """Return the chain as it must be written into another folder: its table is found from there.

    Parameters
    ----------
    chain : Chain
        As it is.
    old, new : Path
        Folders of the chain file, before and after.

    Returns
    -------
    Chain
    """
    place: Place = ("input", "pressure", "response")
    table = value_at(chain, place)
    if table is None or table.is_absolute() or old.resolve() == new.resolve():
        return chain
    try:
        path = Path(os.path.relpath((old / table).resolve(), new.resolve()))
    except ValueError:  # on another drive
        path = (old / table).resolve()
    return with_values(chain, {place: path})


_NAMES = ("name", "output_name", "input_name", "host_api")
