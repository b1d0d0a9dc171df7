"""Read a TOML file into a model; whatever is wrong with it becomes one line a person can act on."""

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Generic, TypeVar

from pydantic import ValidationError

from hardware.errors import FileError
from hardware.toml_complaint import complaints, dotted
from hardware.toml_lines import Place, key_lines
from hardware.toml_model import FileModel

M = TypeVar("M", bound=FileModel)

_LARGEST_BYTES = 1_000_000
_SYNTAX = re.compile(r"(?P<what>.*) \(at (?:line (?P<line>\d+), column (?P<column>\d+)|.*)\)$")


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PlacedModel(Generic[M]):
    """A model, and where in its file each key stands.

    Attributes
    ----------
    model : FileModel
        As validated.
    file : str
        As the person named it.
    lines : mapping from path to line
        As from ``key_lines``.
    """

    model: M
    file: str
    lines: Mapping[Place, int]

    def refusal(
        self, place: Place, what: str, *, given: object = None, allowed: object = None
    ) -> FileError:
        """Make the error for a key that is fine in itself, but not with what it names.

        Parameters
        ----------
        place : tuple of str and int
            Path of the key; elements of arrays from 0.
        what : str
            In a few words.
        given, allowed : object
            Left out of the message where None.

        Returns
        -------
        FileError, to be raised.
        """
        return FileError(
            self.file,
            what,
            line=_line(self.lines, place),
            key=dotted(place),
            given=given,
            allowed=allowed,
        )


def read_model(path: Path, model: type[M]) -> M:
    """Read and validate a TOML file.

    Parameters
    ----------
    path : Path
        The file; messages name it as it stands here.
    model : type
        What it must fit.

    Returns
    -------
    FileModel, of the type asked for.

    Raises
    ------
    FileError
        Names file, line, key, what is wrong, what was given and what is allowed.
    """
    return read_placed(path, model).model


def read_placed(path: Path, model: type[M]) -> PlacedModel[M]:
    """Read and validate a TOML file, and keep where its keys stand.

    Parameters
    ----------
    path : Path
        The file; messages name it as it stands here.
    model : type
        What it must fit.

    Returns
    -------
    PlacedModel

    Raises
    ------
    FileError
        Names file, line, key, what is wrong, what was given and what is allowed.
    """
    return _place(read_text(path), name=str(path), model=model)


def read_model_text(text: str, *, name: str, model: type[M]) -> M:
    """Validate TOML that is no file, or no longer one.

    Parameters
    ----------
    text : str
        TOML.
    name : str
        What messages call it.
    model : type
        What it must fit.

    Returns
    -------
    FileModel, of the type asked for.

    Raises
    ------
    FileError
        As from ``read_model``.
    """
    return _place(text, name=name, model=model).model


def read_text(path: Path) -> str:
    r"""Read a text file that a person wrote: UTF-8, of a size that people write.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    str, lines ended by ``\n``; a byte order mark is dropped.

    Raises
    ------
    FileError
        Missing, no file, not to be read, too large, or not UTF-8.
    """
    raw = read_bytes(path)
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise FileError(
            str(path), "not UTF-8", line=line, given=f"byte 0x{raw[error.start]:02x}"
        ) from error


def read_bytes(path: Path) -> bytes:
    """Read a file of a size that people write.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    bytes

    Raises
    ------
    FileError
        Missing, no file, not to be read, or too large.
    """
    name = str(path)
    try:
        if path.is_dir():
            raise FileError(name, "a folder, not a file")
        if path.exists() and not path.is_file():
            raise FileError(name, "a device, not a file")
        if (size := path.stat().st_size) > _LARGEST_BYTES:
            raise FileError(
                name,
                "too large",
                given=f"{size / 1e6:.1f} MB",
                allowed=f"up to {_LARGEST_BYTES / 1e6:g} MB",
            )
        return path.read_bytes()
    except FileNotFoundError as error:
        raise FileError(name, "no such file") from error
    except PermissionError as error:
        raise FileError(name, "no permission to read it") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise FileError(name, f"cannot be read: {reason}") from error


def _place(text: str, *, name: str, model: type[M]) -> PlacedModel[M]:
    document = _parse(text, name=name)
    try:
        lines = key_lines(text)
        return PlacedModel(model=model.model_validate(document), file=name, lines=lines)
    except ValidationError as error:
        raise _first(error.errors(include_url=False), name=name, model=model, lines=lines) from None
    except RecursionError as error:
        raise FileError(name, "nested too deeply") from error


def _parse(text: str, *, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax(str(error), text=text, name=name) from error
    except RecursionError as error:
        raise FileError(name, "nested too deeply") from error
    except ValueError as error:  # Python reads no whole number of thousands of digits
        raise FileError(name, "a number of too many digits") from error


def _syntax(said: str, *, text: str, name: str) -> FileError:
    found = _SYNTAX.match(said)
    if found is None:
        return FileError(name, f"not TOML: {said}")
    what = found["what"][:1].lower() + found["what"][1:]
    if found["line"] is None:
        return FileError(
            name, f"not TOML: {what} at the end of the file", line=text.rstrip().count("\n") + 1
        )
    return FileError(name, f"not TOML: {what}, column {found['column']}", line=int(found["line"]))


def _first(
    errors: Sequence[Mapping[str, Any]],
    *,
    name: str,
    model: type[FileModel],
    lines: Mapping[Place, int],
) -> FileError:
    root = _schema(model)
    found = complaints(errors, root=root)
    found.sort(key=lambda one: _line(lines, one.place))  # stable: same line, as validated
    first = found[0]
    return FileError(
        name,
        first.what,
        line=_line(lines, first.place),
        key=dotted(first.place),
        given=first.given,
        allowed=first.allowed,
        more=len(found) - 1,
    )


def _line(lines: Mapping[Place, int], place: Place) -> int:
    # A missing key has no line but that of the nearest table above.
    while place not in lines:
        place = place[:-1]
    return lines[place]


@cache
def _schema(model: type[FileModel]) -> Mapping[str, Any]:
    return model.model_json_schema()
