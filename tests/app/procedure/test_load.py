"""Procedure files, good ones and bad ones; of the bad ones the whole line that is told."""

from pathlib import Path

import numpy as np
import pytest
import soundfile

from app.procedure.load import load_procedure
from app.procedure.loaded import LoadedProcedure
from app.procedure.schema import Procedure
from hardware.errors import FileError
from tests.app.procedure.procedure_text import PROCEDURE, with_excitation

KINDS = (
    '"file", "log_sweep", "multitone", "noise", "series", "stepped_sine", "tones" or "two_tones"'
)
SINGLE = '"file", "log_sweep", "multitone", "noise", "stepped_sine", "tones" or "two_tones"'
RATE = 8000


def load(folder: Path, text: str) -> LoadedProcedure:
    path = folder / "p.toml"
    path.write_text(text)
    return load_procedure(path)


def refused(folder: Path, text: str) -> str:
    with pytest.raises(FileError) as caught:
        load(folder, text)
    return str(caught.value).removeprefix(f"{folder / 'p.toml'}:")


BAD = [
    ('name = "p"\n', "1 excitation: missing: allowed a table"),
    (
        PROCEDURE.replace("log_sweep", "log_sweeps"),
        f'3 excitation.kind: unknown kind: given "log_sweeps", allowed {KINDS}',
    ),
    (with_excitation("level_w = 1"), f"2 excitation.kind: missing: allowed {KINDS}"),
    (
        PROCEDURE + "start_hz = 300\nstop_hz = 200",
        "6 excitation.stop_hz: not above start_hz: given 200, allowed above 300",
    ),
    (
        PROCEDURE + "durations_s = 1",
        "5 excitation.durations_s: unknown key: given durations_s, nearest known duration_s",
    ),
    (
        PROCEDURE + "duration_s = 0",
        "5 excitation.duration_s: too small: given 0, allowed 0.05 to 120",
    ),
    (PROCEDURE + "repeat = 0", "5 excitation.repeat: too small: given 0, allowed 1 to 100"),
    (
        PROCEDURE.partition("[masks")[0] + '[limits]\nset = "T4 line"\nrevision = 7',
        "5 limits: names a revision whose masks are not in the file: allowed [masks.NAME] as "
        "dustcap limits run writes them, or no [limits]",
    ),
    (
        PROCEDURE + "level_w = 1",
        "5 excitation.level_w: stands beside level_v_rms: allowed one of the two",
    ),
    (
        with_excitation('kind = "noise"'),
        "2 excitation.level_v_rms: missing: allowed level_v_rms or level_w",
    ),
    (
        with_excitation('kind = "noise"\nlevel_w = 1\ncolour = "brown"'),
        '5 excitation.colour: unknown choice: given "brown", allowed "pink" or "white"',
    ),
    (
        with_excitation('kind = "stepped_sine"\nlevel_w = 1'),
        "2 excitation.zones: missing: allowed an array of 1 to 50, each a table",
    ),
    (
        with_excitation(
            'kind = "stepped_sine"\nlevel_w = 1\nzones = [\n'
            "{from_hz = 9, to_hz = 8, per_octave = 1},\n"
            "{from_hz = 7, to_hz = 7, per_octave = 1},\n]"
        ),
        "7 excitation.zones[2].to_hz: equals from_hz: given 7, allowed above or below from_hz",
    ),
    (
        with_excitation('kind = "tones"\nlevel_w = 1\nhz = [60, -1]'),
        "5 excitation.hz[2]: not positive: given -1, allowed above 0",
    ),
    (
        with_excitation('kind = "series"\nparts = [\n{kind = "tones", hz = [60]},\n]'),
        "2 excitation.level_v_rms: missing: neither the series nor its part 1 has a level: "
        "allowed level_v_rms or level_w",
    ),
    (
        with_excitation('kind = "series"\nlevel_w = 1\nparts = [\n{kind = "series"},\n]'),
        f'6 excitation.parts[1].kind: unknown kind: given "series", allowed {SINGLE}',
    ),
    (
        with_excitation(
            'kind = "series"\nlevel_w = 1\n[[excitation.parts]]\nkind = "log_sweep"\n'
            '[[excitation.parts]]\nkind = "log_sweep"\nstop_hz = "high"'
        ),
        '9 excitation.parts[2].stop_hz: not a number: given "high", allowed a number above 0',
    ),
    (
        PROCEDURE + '[geometry]\nmounting = "wall"',
        '6 geometry.mounting: unknown choice: given "wall", '
        'allowed "baffle", "box", "near_field" or "free"',
    ),
    (
        PROCEDURE + "[quantities.sensitivity]\nat_hz = [1000]\nband_hz = [200, 5000]",
        "7 quantities.sensitivity.band_hz: stands beside at_hz: allowed one of the two, or neither",
    ),
    (
        PROCEDURE + "[quantities.sensitivity]\nband_hz = [5000, 200]",
        "6 quantities.sensitivity.band_hz: does not rise: "
        "given [5000.0, 200.0], allowed [lower, higher]",
    ),
    (
        PROCEDURE + "[quantities.thd]\norders = [2, 1]",
        "6 quantities.thd.orders[2]: too small: given 1, allowed 2 to 40",
    ),
    (
        PROCEDURE + "[quantities.thd]\norders = []",
        "6 quantities.thd.orders: too few elements: "
        "given [], allowed an array of 1 or more, each a whole number from 2 to 40",
    ),
    (
        PROCEDURE + "[quantity.thd]\n",
        "5 quantity: unknown key: given quantity, nearest known quantities",
    ),
]


@pytest.mark.parametrize(("text", "said"), BAD)
def test_a_bad_procedure_is_told_in_one_line(tmp_path: Path, text: str, said: str) -> None:
    assert refused(tmp_path, text) == said


def test_every_kind_is_read_and_goes_through_json_unchanged(tmp_path: Path) -> None:
    text = with_excitation(
        """kind = "series"
level_v_rms = 1.0
repeat = 2
parts = [
    {kind = "log_sweep", start_hz = 20, stop_hz = 3000, level_w = 0.5},
    {kind = "stepped_sine", zones = [{from_hz = 2000, to_hz = 100, per_octave = 3}]},
    {kind = "tones", hz = [60, 100]},
    {kind = "noise", colour = "white", stop_hz = 3000},
    {kind = "multitone", stop_hz = 3000},
]
[masks.a]
quantity = "level"
upper = [[100, 90], [1000, 95]]
lower = 60
[masks.b]
quantity = "qts"
upper = 0.9"""
    )
    procedure = load(tmp_path, text).procedure
    assert Procedure.model_validate_json(procedure.model_dump_json()) == procedure


def audio(folder: Path, samples: np.ndarray, name: str = "music.wav") -> None:
    soundfile.write(folder / name, samples, RATE, subtype="FLOAT")


FILE = with_excitation('kind = "file"\nlevel_v_rms = 1\nstop_hz = 3000\npath = "music.wav"')


def test_the_channel_asked_for_is_read_from_beside_the_procedure(tmp_path: Path) -> None:
    samples = np.stack([np.linspace(-1, 1, 800), np.linspace(0.5, 0, 800)], axis=1)
    audio(tmp_path, samples.astype(np.float32))
    second = load(tmp_path, FILE.replace("stop_hz", "channel = 2\nstop_hz"))
    assert second.audio_rate_hz == {"music.wav#2": RATE}
    np.testing.assert_allclose(second.audio["music.wav#2"], samples[:, 1], atol=1e-7)
    np.testing.assert_allclose(load(tmp_path, FILE).audio["music.wav"], samples[:, 0], atol=1e-7)


def test_audio_that_cannot_be_played_is_told_by_the_key_that_names_it(tmp_path: Path) -> None:
    missing = f"6 excitation.path: no such file: given {tmp_path / 'music.wav'}"
    assert refused(tmp_path, FILE) == missing
    (tmp_path / "music.wav").write_text("no audio")
    assert refused(tmp_path, FILE) == (
        "6 excitation.path: not audio that can be read: given music.wav"
    )
    audio(tmp_path, np.zeros(800))
    assert refused(tmp_path, FILE) == "6 excitation.path: channel 1 is silent: given music.wav"
    audio(tmp_path, np.full(800, np.nan))
    assert refused(tmp_path, FILE) == (
        "6 excitation.path: holds samples that are no numbers: given music.wav"
    )
    assert refused(tmp_path, FILE.replace("stop_hz", "channel = 2\nstop_hz")) == (
        "5 excitation.channel: not in music.wav: given 2, allowed 1 to 1"
    )
    audio(tmp_path, np.ones(601 * RATE, dtype=np.float32))
    assert (
        refused(tmp_path, FILE) == "6 excitation.path: too long: given 601 s, allowed up to 600 s"
    )
