"""From procedure and chain to what is played: levels, signs, ceilings, and what is refused."""

import math
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from app.errors import BadInputError
from app.measure.excite import ceiling, drive_samples, excite, play_request
from app.measure.predicted import predicted
from app.procedure.load import load_procedure
from app.procedure.loaded import LoadedProcedure
from dsp.excitation.segment import BroadbandSegment, LogSweepSegment, ToneSegment
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.errors import OutputTooHighError
from hardware.toml_file import read_model_text
from tests.app.procedure.procedure_text import with_excitation
from tests.hardware.chain.chain_text import CHAIN

RATE = 48_000.0


def bench(*changes: tuple[str, str]) -> ChainSnapshot:
    text = CHAIN.replace("full_scale_v = 2.0", "full_scale_v = 20.0")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return ChainSnapshot(chain=read_model_text(text, name="chain.toml", model=Chain))


NOMINAL = ("max_terminal_v_rms = 6.0", "max_terminal_v_rms = 6.0\nnominal_ohm = 8.0")


def procedure(folder: Path, lines: str) -> LoadedProcedure:
    path = folder / "p.toml"
    path.write_text(with_excitation(lines))
    return load_procedure(path)


SWEEP = 'kind = "log_sweep"\nduration_s = 0.2\nlevel_v_rms = 2.83'
ALL = {
    "log_sweep": SWEEP,
    "stepped_sine": 'kind = "stepped_sine"\nlevel_v_rms = 2.83\n'
    "zones = [{from_hz = 4000, to_hz = 500, per_octave = 3}]",
    "tones": 'kind = "tones"\nlevel_v_rms = 2.83\nhz = [300, 500]\ndwell_s = 0.2',
    "noise": 'kind = "noise"\nlevel_v_rms = 1.0\nduration_s = 0.5',
    "multitone": 'kind = "multitone"\nlevel_v_rms = 1.0\nduration_s = 0.5\nstart_hz = 100',
}


@pytest.mark.parametrize("kind", ["log_sweep", "stepped_sine", "tones"])
def test_a_sine_peaks_at_root_2_times_its_level(tmp_path: Path, kind: str) -> None:
    excitation = excite(procedure(tmp_path, ALL[kind]), bench())
    assert np.max(np.abs(excitation.samples)) == pytest.approx(2.83 * math.sqrt(2), rel=1e-3)


@pytest.mark.parametrize("kind", ["noise", "multitone"])
def test_a_broadband_signal_has_the_rms_that_was_asked_for(tmp_path: Path, kind: str) -> None:
    excitation = excite(procedure(tmp_path, ALL[kind]), bench())
    (one,) = excitation.segments
    assert isinstance(one, BroadbandSegment)
    rms = np.sqrt(np.mean(np.square(excitation.samples[one.start : one.stop])))
    assert rms == pytest.approx(1.0, rel=0.02)  # ramps take a little of a multitone's


def test_a_watt_into_the_nominal_impedance_is_its_root_in_volts(tmp_path: Path) -> None:
    asked = procedure(tmp_path, SWEEP.replace("level_v_rms = 2.83", "level_w = 2.0"))
    excitation = excite(asked, bench(NOMINAL))
    (sweep,) = excitation.segments
    assert isinstance(sweep, LogSweepSegment)
    assert sweep.peak_v == pytest.approx(math.sqrt(2) * 4.0)  # 2 W in 8 ohm: 4 V


def test_in_a_series_the_part_s_own_level_counts_first(tmp_path: Path) -> None:
    text = """kind = "series"
level_v_rms = 2.0
parts = [
    {kind = "log_sweep", duration_s = 0.2, repeat = 2},
    {kind = "tones", hz = [400], dwell_s = 0.2, level_w = 0.5},
]"""
    excitation = excite(procedure(tmp_path, text), bench(NOMINAL))
    first, second, third = excitation.segments
    assert isinstance(first, LogSweepSegment)
    assert isinstance(second, LogSweepSegment)
    assert isinstance(third, ToneSegment)
    assert first.peak_v == second.peak_v == pytest.approx(2 * math.sqrt(2))
    assert third.peak_v[0] == pytest.approx(2 * math.sqrt(2))  # 0.5 W in 8 ohm: 2 V


def test_the_same_procedure_is_the_same_signal_sample_for_sample(tmp_path: Path) -> None:
    asked = procedure(tmp_path, ALL["noise"])
    np.testing.assert_array_equal(excite(asked, bench()).samples, excite(asked, bench()).samples)


def test_a_file_is_played_as_it_is_at_the_level_asked_for(tmp_path: Path) -> None:
    tone = np.sin(2 * np.pi * 440 / RATE * np.arange(24_000)) * 0.1
    soundfile.write(tmp_path / "tone.wav", tone, int(RATE), subtype="DOUBLE")
    asked = procedure(tmp_path, 'kind = "file"\nlevel_v_rms = 1.5\npath = "tone.wav"')
    excitation = excite(asked, bench())
    (one,) = excitation.segments
    middle = excitation.samples[one.start + 6000 : one.start + 18_000]
    played = middle / (1.5 * math.sqrt(2))
    np.testing.assert_allclose(played, tone[6000:18_000] / 0.1, atol=0.02)  # its ramps count as rms


def said(folder: Path, lines: str, chain: ChainSnapshot) -> str:
    with pytest.raises(BadInputError) as caught:
        excite(procedure(folder, lines), chain)
    return str(caught.value).replace(str(folder / "p.toml"), "p.toml")


SLOW = ("[output.drive]", "[device]\nsample_rate = 8000\n[output.drive]")
BAD = [
    (
        SWEEP + "\nstop_hz = 24000",
        bench(),
        "p.toml:6 excitation.stop_hz: too high for the chain's sample rate: "
        "given 24000 Hz, allowed below 24000 Hz",
    ),
    (
        SWEEP,
        bench(SLOW),
        "p.toml:2 excitation.stop_hz: too high for the chain's sample rate: "
        "given 20000 Hz, allowed below 4000 Hz",
    ),
    (
        ALL["stepped_sine"],
        bench(SLOW),
        "p.toml:5 excitation.zones[1].from_hz: too high for the chain's sample rate: "
        "given 4000 Hz, allowed below 4000 Hz",
    ),
    (
        ALL["tones"].replace("500", "4500"),
        bench(SLOW),
        "p.toml:5 excitation.hz[2]: too high for the chain's sample rate: "
        "given 4500 Hz, allowed below 4000 Hz",
    ),
    (
        SWEEP.replace("2.83", "6.1"),
        bench(),
        "p.toml:5 excitation.level_v_rms: too high for this chain: given 8.627 V peak, "
        "allowed up to 8.485 V peak, √2 × max_terminal_v_rms of 6 V",
    ),
    (
        SWEEP.replace("level_v_rms = 2.83", "level_w = 5"),
        bench(NOMINAL),
        "p.toml:5 excitation.level_w: too high for this chain: given 8.944 V peak, "
        "allowed up to 8.485 V peak, √2 × max_terminal_v_rms of 6 V",
    ),
    (
        SWEEP,
        bench(("full_scale_v = 20.0", "full_scale_v = 2.0\namplifier_gain = -1.5")),
        "p.toml:5 excitation.level_v_rms: more than the output can give: given 4.002 V peak, "
        "allowed up to 3 V peak, full_scale_v of 2 V × amplifier_gain of 1.5",
    ),
    (
        SWEEP.replace("level_v_rms = 2.83", "level_w = 1"),
        bench(),
        'chain "bench" output.drive.nominal_ohm: missing, and p.toml:5 excitation.level_w '
        "needs it: allowed ohm, above 0",
    ),
    (
        ALL["tones"].replace("dwell_s = 0.2", "dwell_s = 0.062"),
        bench(),
        "p.toml:2 excitation: dwell_s too short: given 0.062, "
        "allowed from 0.0666667 s: two periods of 300 Hz after 60 ms",
    ),
    (
        'kind = "series"\nlevel_v_rms = 1\nparts = [\n{kind = "tones", hz = [400]},\n'
        '{kind = "tones", hz = [400], level_v_rms = 7},\n]',
        bench(),
        "p.toml:7 excitation.parts[2].level_v_rms: too high for this chain: given 9.899 V peak, "
        "allowed up to 8.485 V peak, √2 × max_terminal_v_rms of 6 V",
    ),
    (
        'kind = "series"\nlevel_v_rms = 7\nparts = [\n{kind = "tones", hz = [400]},\n]',
        bench(),
        "p.toml:4 excitation.level_v_rms: too high for this chain: given 9.899 V peak, "
        "allowed up to 8.485 V peak, √2 × max_terminal_v_rms of 6 V",
    ),
]


@pytest.mark.parametrize(("lines", "chain", "line"), BAD)
def test_what_a_chain_must_not_play_is_told_in_one_line(
    tmp_path: Path, *, lines: str, chain: ChainSnapshot, line: str
) -> None:
    assert said(tmp_path, lines, chain) == line


def test_a_file_at_another_rate_is_refused_not_resampled(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "tone.wav", np.ones(8000) * 0.1, 44_100)
    lines = 'kind = "file"\nlevel_v_rms = 1\npath = "tone.wav"'
    assert said(tmp_path, lines, bench()) == (
        "p.toml:5 excitation.path: another sample rate than the chain's: "
        "given 44100 Hz, allowed 48000 Hz"
    )


def test_noise_is_held_to_the_ceiling_by_its_peak_not_its_rms(tmp_path: Path) -> None:
    # 3 V rms is half of what a sine may have, but 12 dB above it is 12 V.
    line = said(tmp_path, ALL["noise"].replace("= 1.0", "= 3.0"), bench())
    assert line.startswith("p.toml:4 excitation.level_v_rms: too high for this chain: given 1")


def test_the_level_of_the_ceiling_itself_may_be_played(tmp_path: Path) -> None:
    chain = bench()
    samples = drive_samples(excite(procedure(tmp_path, SWEEP.replace("2.83", "6.0")), chain), chain)
    assert np.max(np.abs(samples)) == pytest.approx(6 * math.sqrt(2) / 20, rel=1e-3)


@given(full_scale_v=st.floats(3, 50), gain=st.floats(1, 30), sign=st.sampled_from([1, -1]))
def test_what_leaves_the_amplifier_is_what_was_asked_for(
    tmp_path_factory: pytest.TempPathFactory, *, full_scale_v: float, gain: float, sign: int
) -> None:
    chain = bench(
        (
            "full_scale_v = 20.0",
            f"full_scale_v = {full_scale_v!r}\namplifier_gain = {sign * gain!r}",
        )
    )
    asked = procedure(tmp_path_factory.mktemp("p"), SWEEP.replace("2.83", "2.0"))
    excitation = excite(asked, chain)
    samples = drive_samples(excitation, chain)
    np.testing.assert_allclose(
        samples.astype(float) * full_scale_v * sign * gain, excitation.samples, atol=1e-6
    )
    assert np.max(np.abs(samples)) <= ceiling(chain) * (1 + 2**-23)


def test_the_signal_is_checked_again_where_it_becomes_samples(tmp_path: Path) -> None:
    strong = excite(procedure(tmp_path, SWEEP), bench())
    careful = bench(("max_terminal_v_rms = 6.0", "max_terminal_v_rms = 1.0"))
    with pytest.raises(OutputTooHighError, match=r"allowed 0\.0707107 of full scale"):
        drive_samples(strong, careful)
    with pytest.raises(OutputTooHighError):
        play_request(strong, careful)


def test_the_request_names_what_the_chain_wires(tmp_path: Path) -> None:
    chain = bench(
        ("channel = 1\nfull_scale_v = 20.0", "channel = 3\ncopy_channel = 2\nfull_scale_v = 20.0"),
        ("channel = 2\nfull_scale_v = 1.0", "channel = 5\nfull_scale_v = 1.0"),
    )
    request = play_request(excite(procedure(tmp_path, SWEEP), chain), chain)
    assert (request.output_channel, request.copy_channel, request.input_channels) == (3, 2, 5)
    assert request.output.dtype == np.float32
    assert request.ceiling == pytest.approx(6 * math.sqrt(2) / 20)


def test_a_converter_that_reaches_less_than_the_ceiling_is_the_ceiling() -> None:
    assert ceiling(bench(("full_scale_v = 20.0", "full_scale_v = 4.0"))) == 1.0


def test_what_will_happen_is_predicted_before_it_does(tmp_path: Path) -> None:
    chain = bench(NOMINAL)
    asked = procedure(tmp_path, ALL["tones"] + "\n[geometry]\ndistance_m = 0.5")
    told = predicted(
        excite(asked, chain), chain, geometry=asked.procedure.geometry, sensitivity_db=85.0
    )
    assert told.peak_v == pytest.approx(2.83 * math.sqrt(2), rel=1e-3)
    assert told.nominal_w == pytest.approx(1.0, rel=0.03)  # 2.83 V in 8 ohm, less the ramps
    assert told.peak_dbfs == pytest.approx(20 * math.log10(2.83 * math.sqrt(2) / 20), abs=0.01)
    assert told.spl_db == pytest.approx(
        85 + 6.02, abs=0.15
    )  # half the distance: twice the pressure
