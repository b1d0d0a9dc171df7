"""Response tables as suppliers send them, and what is told of bad ones."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardware.chain.response_csv import read_response, read_supplied
from hardware.chain.snapshot import ResponseTable
from hardware.errors import FileError

NAMED = "or a heading that names frequency and level"
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
        "20,0 -1,5 3,0\n1000,0 0,0 0,0\n20000 2,25 -40,5\n",
        '"20,0","-1,5","3"\n"1000,0","0","0"\n"20000","2,25","-40,5"\n',
        "Microphone;No. 17\nDate;2026-11-02\nFreq [Hz];Level [dB];Phase [°]\n"
        "20;-1,5;3\n1000;0;0\n20000;2,25;-40,5\n",
        "; made in spring\n! of a coupler\n20;-1.5;3\n1000;0;0\n20000;2.25;-40.5\n",
        "No.,Phase (deg),Response (dB),Frequency (Hz),U (dB)\n"
        "1,3,-1.5,20,0.2\n2,0,0,1000,0.1\n3,-40.5,2.25,20000,0.4\n",
        "Frequency (kHz)\tdB\tdeg\n0.02\t-1.5\t3\n1\t0\t0\n20\t2.25\t-40.5\n",
        "20,-1.5,3\r1000,0,0\r20000,2.25,-40.5\r",
        "Hz,dB re 1 V/Pa,deg\n20,-39.5,3\n1000,-38,0\n20000,-35.75,-40.5\n",
    ],
    ids=[
        "commas",
        "decimal commas",
        "tabs",
        "blanks",
        "trailing commas",
        "header of its own",
        "blanks and decimal commas",
        "quoted decimal commas",
        "a heading of several lines",
        "other comments",
        "columns by their names",
        "kilohertz",
        "old line ends",
        "absolute levels",
    ],
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
        ("20,0,0,0\n", ":1: wrong number of columns: given 4, allowed Hz, dB[, deg], " + NAMED),
        ("20\n", ":1: wrong number of columns: given 1, allowed Hz, dB[, deg], " + NAMED),
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
        st.tuples(st.floats(1e-3, 1e6), st.floats(-10, 10)),
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


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_any_encoding_of_a_spreadsheet_is_read(tmp_path: Path, encoding: str) -> None:
    path = tmp_path / "mic.csv"
    text = "Frequenz in Hz;Pegel in dB;Phase in °\n20;-1,5;3\n1000;0;0\n20000;2,25;-40,5\n"
    path.write_bytes(text.encode(encoding))
    assert read_response(path) == WANTED


def test_a_phase_in_rad_becomes_degrees(tmp_path: Path) -> None:
    path = write(tmp_path, "Hz,dB,phase (rad)\n20,0,1.5707963267948966\n1000,0,0\n")
    assert read_response(path).deg == pytest.approx((90.0, 0.0))


@pytest.mark.parametrize(
    ("text", "note"),
    [
        ("20,0\n20000,1\n", "known from 20 to 20000 Hz; beyond, the end is held and marked"),
        ("20,-37\n1000,-38.5\n", "levels are absolute: −38.50 dB at 1 kHz is taken off"),
        ("Hz,dB,deg,coherence\n20,0,0,1\n1000,0,0,1\n", "not read: coherence"),
        ("kHz,dB\n0.02,0\n1,0\n", "frequencies are in kHz"),
        ("Hz,dB,rad\n20,0,0\n1000,0,0\n", "the phase is in rad"),
    ],
)
def test_how_it_was_understood_is_told(tmp_path: Path, text: str, note: str) -> None:
    assert note in read_supplied(write(tmp_path, text)).notes


def test_absolute_levels_are_taken_off_between_the_points(tmp_path: Path) -> None:
    # 1 kHz lies in the middle of 100 Hz and 10 kHz over log f: -40 dB there.
    table = read_response(write(tmp_path, "100,-42\n10000,-38\n"))
    assert table.db == pytest.approx((-2.0, 2.0))
