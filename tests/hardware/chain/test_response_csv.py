"""Response tables as suppliers send them, and what is told of bad ones."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardware.chain.response_csv import read_response
from hardware.chain.snapshot import ResponseTable
from hardware.errors import FileError

WANTED = ResponseTable(hz=(20.0, 1000.0, 20000.0), db=(-1.5, 0.0, 2.25), deg=(3.0, 0.0, -40.5))


def write(folder: Path, text: str) -> Path:
    path = folder / "mic.csv"
    path.write_text(text)
    return path


@pytest.mark.parametrize(
    "text",
    [
        "20,-1.5,3\n1000,0,0\n20000,2.25,-40.5\n",
        "Hz;dB;deg\n20;-1,5;3\n1000;0;0\n2e4;2,25;-40,5\n",
        "# mic 17\n\nfrequency\tlevel\tphase\n20\t-1.5\t3\n1000\t0\t0\n\n20000\t+2.25\t-40.5",
        "* serial 17\n20 -1.5 3\n  1000   0  0 \n// end\n20000 2.25 -40.5\n",
        '"Hz","dB","deg"\r\n20,-1.5,3,\r\n1000,0.,.0,\r\n20000,2.25,-40.5,\r\n',
        "Frequency / Hz, Level / dB, Phase / deg\n20 -1.5 3\n1000 0 0\n20000 2.25 -40.5\n",
    ],
    ids=["commas", "decimal commas", "tabs", "blanks", "trailing commas", "header of its own"],
)
def test_the_same_table_is_read_from_every_way_of_writing_it(tmp_path: Path, text: str) -> None:
    assert read_response(write(tmp_path, text)) == WANTED


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", ": too few rows: given 0, allowed 2 or more"),
        ("Hz,dB\n1000,0\n", ": too few rows: given 1, allowed 2 or more"),
        ("20,0\n1000,x\n", ":2 dB: not a number: given x"),
        ("20,0\n1000,nan\n", ":2 dB: not a number: given nan"),
        ("20,0\n1000,1e999\n", ":2 dB: not a number: given 1e999"),
        ("20,0\n,1\n", ":2 Hz: not a number: given nothing"),
        ("Hz,dB\nlow,0\n", ":2 Hz: not a number: given low"),
        ("20,0\n# here\n20,1\n", ":3: frequencies do not rise: given 20 Hz, allowed above 20 Hz"),
        ("20,0\n10,1\n", ":2: frequencies do not rise: given 10 Hz, allowed above 20 Hz"),
        ("0,0\n10,1\n", ":1 Hz: not positive: given 0, allowed above 0"),
        ("20,0,0\n1000,1\n", ":2: other columns than above: given 2, allowed 3"),
        ("20,0,0,0\n", ":1: wrong number of columns: given 4, allowed Hz, dB[, deg]"),
        ("20\n", ":1: wrong number of columns: given 1, allowed Hz, dB[, deg]"),
        (
            "20,94\n1000,94\n",
            ":1 dB: no response relative to the sensitivity: given 94, allowed -60 to 60",
        ),
    ],
)
def test_a_bad_table_is_told_in_one_line(tmp_path: Path, text: str, said: str) -> None:
    path = write(tmp_path, text)
    with pytest.raises(FileError) as caught:
        read_response(path)
    assert str(caught.value) == f"{path}{said}"


@given(
    rows=st.lists(
        st.tuples(st.floats(1e-3, 1e6), st.floats(-60, 60)),
        min_size=2,
        max_size=20,
        unique_by=lambda row: row[0],
    ),
    separator=st.sampled_from([",", ";", "\t", " "]),
)
def test_what_is_written_is_read_to_the_last_digit(
    tmp_path_factory: pytest.TempPathFactory, rows: list[tuple[float, float]], separator: str
) -> None:
    rows = sorted(rows)
    text = "\n".join(f"{hz!r}{separator}{db!r}" for hz, db in rows)
    table = read_response(write(tmp_path_factory.mktemp("csv"), text))
    assert (table.hz, table.db) == tuple(zip(*rows, strict=True))
    assert table.deg == ()
