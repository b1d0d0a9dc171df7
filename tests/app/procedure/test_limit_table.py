"""Tables as customers paste them: each way of writing gives the limits that a person reads."""

import pytest

from app.errors import BadInputError
from app.procedure.limit_table import read_limit_table
from app.procedure.mask_schema import Mask
from hardware.errors import FileError

PLAIN = Mask(
    quantity="level",
    upper=((100.0, 92.5), (1000.0, 91.0), (10_000.0, 93.0)),
    lower=((100.0, 84.5), (1000.0, 85.0), (10_000.0, 82.0)),
)

SAME = {
    "tabs": "Frequency (Hz)\tLower limit (dB)\tUpper limit (dB)\n"
    "100\t84.5\t92.5\n1000\t85\t91\n10000\t82\t93\n",
    "semicolons, decimal comma": "f [Hz];min;max\n100;84,5;92,5\n1000;85,0;91,0\n10000;82,0;93,0",
    "commas": "Freq Hz,Upper,Lower\n100,92.5,84.5\n1000,91,85\n10000,93,82",
    "kHz in the head": "f / kHz;lower;upper\n0,1;84,5;92,5\n1;85;91\n10;82;93",
    "kHz in the cells": "Frequency\tMin\tMax\n100 Hz\t84.5\t92.5\n1 kHz\t85\t91\n10k\t82\t93",
    "units in a second line": "Frequency;Lower;Upper\nHz;dB;dB\n"
    "100;84.5;92.5\n1000;85;91\n10000;82;93",
    "plus and minus": "Frequency [Hz]\tTarget\t+\t-\n"
    "100\t88\t4.5\t3.5\n1000\t88\t3\t3\n10000\t88\t5\t6",
    "minus with its sign": "Hz;nominal;+ tol;− tol\n100;88;4.5;-3.5\n1000;88;3;−3\n10000;88;5;-6",
    "bars": "| Frequency (Hz) | Lower | Upper |\n|---|---|---|\n| 100 | 84.5 | 92.5 |\n"
    "| 1000 | 85 | 91 |\n| 10000 | 82 | 93 |",
    "spaces": "f/Hz  lower  upper\n100   84.5   92.5\n1000  85     91\n10000 82     93".replace(
        "10000 82", "10000  82"
    ),
    "German": "Frequenz (Hz);untere Grenze (dB);obere Grenze (dB)\n"
    "100;84,5;92,5\n1.000;85,0;91,0\n10.000;82,0;93,0",
    "thousands": "Frequency (Hz)\tLower\tUpper\n100\t84.5\t92.5\n"
    "1,000\t85.0\t91.0\n10,000\t82.0\t93.0",
    "from high to low": "Hz;lower;upper\n10000;82;93\n1000;85;91\n100;84.5;92.5",
    "a column besides": "No.\tHz\tlower\tupper\tremark\n1\t100\t84.5\t92.5\tport\n"
    "2\t1000\t85\t91\t\n3\t10000\t82\t93\t",
    "blank lines": "\n\nHz;lower;upper\n\n100;84.5;92.5\n1000;85;91\n\n10000;82;93\n\n",
}


@pytest.mark.parametrize("text", SAME.values(), ids=SAME.keys())
def test_a_table_is_read_as_it_is_meant(text: str) -> None:
    assert read_limit_table(text, quantity="level").mask == PLAIN


def test_what_could_be_read_otherwise_is_said() -> None:
    found = read_limit_table(SAME["kHz in the head"], quantity="level")
    assert found.remarks == ("numbers with a decimal comma", "frequencies in kHz")
    assert read_limit_table(SAME["tabs"], quantity="level").remarks == ()


def test_columns_can_be_named_where_there_are_no_heads() -> None:
    found = read_limit_table(
        "100;84.5;92.5\n1000;85;91\n10000;82;93",
        quantity="level",
        columns=("frequency", "lower", "upper"),
    )
    assert found.mask == PLAIN


def test_a_tolerance_alone_counts_from_the_reference_unit() -> None:
    found = read_limit_table("Hz;± dB\n100;3\n1000;2\n", quantity="level", relative=True)
    assert found.mask == Mask(
        quantity="level",
        upper=((100.0, 3.0), (1000.0, 2.0)),
        lower=((100.0, -3.0), (1000.0, -2.0)),
        relative_to="reference",
    )


def test_spans_become_lines_and_the_stricter_limit_has_the_place_of_a_jump() -> None:
    text = "Frequency;max\n100-500 Hz;3\n500 - 2000 Hz;1\n2 kHz – 5 kHz;4\n5 to 10 kHz;4"
    found = read_limit_table(text, quantity="thd")
    assert found.mask.upper == (
        (100.0, 3.0),
        (500.0 * 0.999, 3.0),
        (500.0, 1.0),
        (2000.0, 1.0),
        (2000.0 * 1.001, 4.0),
        (5000.0, 4.0),
        (10_000.0, 4.0),
    )
    assert found.mask.lower is None


def test_an_empty_cell_is_no_limit() -> None:
    found = read_limit_table("Hz;lower;upper\n100;;90\n1000;80;90\n5000;80;–", quantity="level")
    assert found.mask.lower == ((1000.0, 80.0), (5000.0, 80.0))
    assert found.mask.upper == ((100.0, 90.0), (1000.0, 90.0))


REFUSED = {
    "nothing": ("", "table: empty"),
    "one column": ("hello\nworld", "columns are not told apart"),
    "no heads": ("100;80;90\n200;80;90", "no heads over its columns: given 100 | 80 | 90"),
    "no frequency": ("lower;upper\n80;90", "no column of frequencies"),
    "no limits": ("Hz;remark\n100;a", "no column of limits"),
    "twice": ("Hz;max;upper\n100;80;90", "two columns for upper"),
    "both ways": ("Hz;upper;±\n100;80;3", "limits are told twice"),
    "Hz or kHz": ("f;upper\n1;90\n10;90", "frequencies without a unit: given up to 10"),
    "a comma of two meanings": (
        "Hz;upper\n1,000;90\n2,000;91",
        "table: can stand for the decimal point or between thousands: given 1,000",
    ),
    "a point of two meanings": ("Hz;upper\n1.000;90\n2.000;91", "given 1.000"),
    "two ways in one table": ("Hz;lower;upper\n100;84,5;92.5", "given 84,5"),
    "about nothing": ("Hz;±\n100;3", "line 2: a tolerance about nothing"),
    "words for a limit": ("Hz;upper\n100;about 90", "line 2: no number: given about 90"),
    "words for a frequency": ("Hz;upper\n100;90\nabove;91", "line 3: no frequency"),
    "another unit": ("Hz;upper\n100 ms;90", "line 2: no frequency"),
}


@pytest.mark.parametrize(("text", "line"), REFUSED.values(), ids=REFUSED.keys())
def test_what_cannot_be_read_or_in_two_ways_is_refused_in_a_line(text: str, line: str) -> None:
    with pytest.raises(BadInputError) as refused:
        read_limit_table(text, quantity="level")
    assert line in str(refused.value)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("Hz;lower;upper\n100;95;90", "lower limit above the upper at 100 Hz"),
        ("Hz;upper\n100;90\n50;90\n200;91", "does not rise in frequency"),
    ],
)
def test_what_no_mask_can_be_is_refused(text: str, line: str) -> None:
    with pytest.raises(FileError) as refused:
        read_limit_table(text, quantity="level")
    assert line in str(refused.value)


def test_numbers_and_unknown_columns_are_refused() -> None:
    with pytest.raises(BadInputError, match="no curve: given fs_hz"):
        read_limit_table("Hz;upper\n100;90", quantity="fs_hz")
    with pytest.raises(BadInputError, match="no such column: given freq"):
        read_limit_table("100;90", quantity="level", columns=("freq", "upper"))
    with pytest.raises(BadInputError, match="other columns"):
        read_limit_table("100;90;80", quantity="level", columns=("frequency", "upper"))
