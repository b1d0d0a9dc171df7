"""Every way in which a TOML file can be wrong, and the whole line that a person reads."""

import os
from datetime import date
from pathlib import Path
from typing import Annotated, Literal, Self

import pytest
from pydantic import Field, model_validator

from hardware.errors import FileError
from hardware.toml_file import read_model, read_model_text, read_placed
from hardware.toml_model import Count, Day, FileModel, Flag, NotNegative, Positive, Real, refusal


class Link(FileModel):
    resistor_ohm: Positive
    gain: Real = Field(1.0, ge=-10, lt=10)
    share: NotNegative = 0.0
    made_on: Day | None = None
    on: Flag = True


class Cat(FileModel):
    kind: Literal["cat"]
    lives: Count = Field(9, le=9)


class Dog(FileModel):
    kind: Literal["dog"]
    cat: int = 1  # a key that is spelt like another kind


class File(FileModel):
    name: str = Field(min_length=1)
    link: Link
    pet: Annotated[Cat | Dog, Field(discriminator="kind")] | None = None
    pairs: tuple[tuple[Positive, Real], ...] = ()
    colour: Literal["red", "blue"] = "red"
    path: Path | None = None

    @model_validator(mode="after")
    def _named_otherwise_than_its_path(self) -> Self:
        if self.path is not None and str(self.path) == self.name:
            raise refusal("path", "same as name", given=self.name, allowed="another")
        return self


GOOD = """name = "bench"
[link]
resistor_ohm = 0.22
"""
NUMBER = "a number"

BAD = [
    (
        GOOD.replace("0.22", "-0.1"),
        ":3 link.resistor_ohm: not positive: given -0.1, allowed above 0",
    ),
    (GOOD.replace("0.22", "0"), ":3 link.resistor_ohm: not positive: given 0, allowed above 0"),
    (GOOD + "share = -1", ":4 link.share: negative: given -1, allowed 0 or more"),
    (GOOD + "gain = -11", ":4 link.gain: too small: given -11, allowed -10 or more and below 10"),
    (GOOD + "gain = 10", ":4 link.gain: too large: given 10, allowed -10 or more and below 10"),
    (
        GOOD.replace("0.22", "inf"),
        ":3 link.resistor_ohm: not finite: given inf, allowed a number above 0",
    ),
    (
        GOOD.replace("0.22", '"0.22"'),
        ':3 link.resistor_ohm: not a number: given "0.22", allowed a number above 0',
    ),
    (
        GOOD.replace("0.22", "true"),
        ":3 link.resistor_ohm: not a number: given true, allowed a number above 0",
    ),
    (GOOD + "on = 1", ":4 link.on: not true or false: given 1, allowed true or false"),
    (
        GOOD + "made_on = 20310514",
        ":4 link.made_on: not a date: given 20310514, allowed a date such as 2031-05-14",
    ),
    (
        GOOD + "made_on = 2031-05-14T10:00:00",
        ":4 link.made_on: not a date: given 2031-05-14 10:00:00, allowed a date such as 2031-05-14",
    ),
    (
        GOOD.replace("resistor_ohm", "resistor_ohms"),
        ":3 link.resistor_ohms: unknown key: given resistor_ohms, nearest known resistor_ohm",
    ),
    (
        GOOD + "zzz = 1",
        ":4 link.zzz: unknown key: given zzz, nearest known resistor_ohm; "
        "known are resistor_ohm, gain, share, made_on, on",
    ),
    (
        GOOD + '"sh are" = 1',
        ':4 link."sh are": unknown key: given "sh are", nearest known share',
    ),
    ('name = "bench"\n[link]\n', ":2 link.resistor_ohm: missing: allowed a number above 0"),
    ('name = "bench"\n', ":1 link: missing: allowed a table"),
    (GOOD.replace('"bench"', '""'), ':1 name: empty: given "", allowed a text, not empty'),
    (GOOD.replace('"bench"', "3"), ":1 name: not a text: given 3, allowed a text, not empty"),
    ('name = "bench"\nlink = 3', ":2 link: not a table: given 3, allowed a table"),
    (
        'colour = "green"\n' + GOOD,
        ':1 colour: unknown choice: given "green", allowed "red" or "blue"',
    ),
    ("pet = {lives = 3}\n" + GOOD, ':1 pet.kind: missing: allowed "cat" or "dog"'),
    ('pet.kind = "cow"\n' + GOOD, ':1 pet.kind: unknown kind: given "cow", allowed "cat" or "dog"'),
    (
        'pet.kind = "cat"\npet.lives = 10\n' + GOOD,
        ":2 pet.lives: too large: given 10, allowed 1 to 9",
    ),
    (
        'pet.kind = "dog"\npet.cat = "x"\n' + GOOD,
        ':2 pet.cat: not a whole number: given "x", allowed a whole number',
    ),
    (
        'pet.kind = "cat"\npet.live = 8\n' + GOOD,
        ":2 pet.live: unknown key: given live, nearest known lives",
    ),
    ("pet = 3\n" + GOOD, ":1 pet: not a table: given 3, allowed a table"),
    (
        "pairs = 3\n" + GOOD,
        ":1 pairs: not an array: given 3, allowed an array, each [a number above 0, a number]",
    ),
    (
        'pairs = [\n[1, 2],\n[3, "x"]]\n' + GOOD,
        ':3 pairs[2][2]: not a number: given "x", allowed a number',
    ),
    (
        "pairs = [[1, 2, 3]]\n" + GOOD,
        ":1 pairs[1]: too many elements: given [1, 2, 3], allowed [a number above 0, a number]",
    ),
    ("pairs = [[1]]\n" + GOOD, ":1 pairs[1][2]: missing: allowed a number"),
    ("path = 3\n" + GOOD, ":1 path: not a path: given 3, allowed a path"),
    ('path = "bench"\n' + GOOD, ":1 path: same as name: given bench, allowed another"),
    (
        GOOD + "gain = 11\nshare = -2\non = 3",
        ":4 link.gain: too large: given 11, allowed -10 or more and below 10 (and 2 more)",
    ),
    (
        "paths = 3\n" + GOOD.replace("0.22", "-1"),
        ":1 paths: unknown key: given paths, nearest known path (and 1 more)",
    ),
    (GOOD.replace('"bench"', '"'), ":1: not TOML: illegal character '\\n', column 9"),
    (GOOD + "x = ", ":4: not TOML: invalid value at the end of the file"),
    (GOOD + "[link]", ":4: not TOML: cannot declare ('link',) twice, column 6"),
    (GOOD + "resistor_ohm = 1", ":4: not TOML: cannot overwrite a value at the end of the file"),
    ("a = " + "[" * 5000, ": nested too deeply"),
    ("a = " + "1" * 5000, ": a number of too many digits"),
    (
        f"name = [{'1, ' * 99}1]\n" + GOOD.removeprefix('name = "bench"\n'),
        f":1 name: not a text: given [1{', 1' * 19}…, allowed a text, not empty",
    ),
]


@pytest.mark.parametrize(("text", "said"), BAD)
def test_one_line_tells_file_line_key_given_and_allowed(text: str, said: str) -> None:
    with pytest.raises(FileError) as caught:
        read_model_text(text, name="chain.toml", model=File)
    assert str(caught.value) == "chain.toml" + said


@pytest.mark.parametrize("depth", range(100, 500, 25))
def test_no_depth_of_nesting_ends_in_anything_but_a_refusal(depth: int) -> None:
    for text in ("name = " + "[" * depth + "]" * depth, "a = " + "{a=" * depth + "1" + "}" * depth):
        with pytest.raises(FileError):
            read_model_text(text, name="chain.toml", model=File)


def test_a_good_file_is_read_whatever_editor_wrote_it(tmp_path: Path) -> None:
    path = tmp_path / "chain.toml"
    text = GOOD + "made_on = 2031-05-14\n"
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    link = read_model(path, File).link
    assert (link.resistor_ohm, link.made_on) == (0.22, date(2031, 5, 14))


def test_what_was_read_can_be_refused_later_by_line(tmp_path: Path) -> None:
    path = tmp_path / "chain.toml"
    path.write_text(GOOD)
    error = read_placed(path, File).refusal(("link", "resistor_ohm"), "too warm", given="90 °C")
    assert str(error) == f"{path}:3 link.resistor_ohm: too warm: given 90 °C"
    assert (error.line, error.key) == (3, "link.resistor_ohm")


def test_a_model_goes_through_json_unchanged() -> None:
    text = 'pairs = [[1, 2]]\npet = {kind = "cat"}\n' + GOOD + "made_on = 2031-05-14\n"
    model = read_model_text(text, name="chain.toml", model=File)
    assert File.model_validate_json(model.model_dump_json()) == model


def refused(path: Path) -> str:
    with pytest.raises(FileError) as caught:
        read_model(path, File)
    return str(caught.value).removeprefix(str(path))


def test_what_is_no_readable_file_is_told_apart(tmp_path: Path) -> None:
    assert refused(tmp_path / "none.toml") == ": no such file"
    assert refused(tmp_path) == ": a folder, not a file"
    assert refused(tmp_path / ("x" * 300)) == ": cannot be read: File name too long"
    (tmp_path / "bytes.toml").write_bytes(b'name = "bench"\n# \xff\n')
    assert refused(tmp_path / "bytes.toml") == ":2: not UTF-8: given byte 0xff"
    (tmp_path / "huge.toml").write_bytes(b"#" * 3_000_000)
    assert refused(tmp_path / "huge.toml") == ": too large: given 3.0 MB, allowed up to 1 MB"
    (tmp_path / "empty.toml").write_bytes(b"")
    assert (
        refused(tmp_path / "empty.toml")
        == ":1 name: missing: allowed a text, not empty (and 1 more)"
    )


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such devices here")
def test_a_pipe_is_refused_rather_than_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    assert refused(tmp_path / "pipe.toml") == ": a device, not a file"


def test_a_file_that_must_not_be_read_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "chain.toml"
    path.write_text(GOOD)

    def forbidden(_path: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(
        Path, "read_bytes", forbidden
    )  # root reads everything: mode bits tell nothing
    assert refused(path) == ": no permission to read it"
