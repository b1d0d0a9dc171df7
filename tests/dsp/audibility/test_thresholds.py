"""The ear's scale, its threshold in quiet and behind maskers, against published tables."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dsp import DspError, Floats
from dsp.audibility.critical_bands import critical_band_rate, critical_bandwidth_hz
from dsp.audibility.hearing_threshold import hearing_threshold_db
from dsp.audibility.masked_threshold import Maskers, floor_power, spread_power
from dsp.response.quiet_noise import QuietNoise

# Edges of the critical bands, 1 to 24 Bark (E. Zwicker, J. Acoust. Soc. Am. 33 (1961) 248).
EDGES_HZ = np.concatenate(
    [
        [100, 200, 300, 400, 510, 630, 770, 920, 1080, 1270, 1480, 1720],
        [2000, 2320, 2700, 3150, 3700, 4400, 5300, 6400, 7700, 9500, 12_000, 15_500],
    ]
)
QUIET = Maskers(frequency_hz=np.zeros(0), level_db=np.zeros(0))


def masked_threshold_db(hz: Floats, *, maskers: Maskers, noise: QuietNoise | None = None) -> Floats:
    power = spread_power(hz, maskers=maskers) + floor_power(hz, noise=noise)
    return np.asarray(10 * np.log10(power))


def tone(hz: float, db: float) -> Maskers:
    return Maskers(frequency_hz=np.array([hz]), level_db=np.array([db]))


def test_the_critical_band_rate_meets_the_tabulated_bands_within_a_fifth_of_a_bark() -> None:
    np.testing.assert_allclose(critical_band_rate(EDGES_HZ), np.arange(1, 25), atol=0.2)


def test_the_critical_bandwidth_meets_them_within_a_tenth() -> None:
    middles, widths = np.sqrt(EDGES_HZ[:-1] * EDGES_HZ[1:]), np.diff(EDGES_HZ)
    # The last two bands of the table are rounded more.
    np.testing.assert_allclose(critical_bandwidth_hz(middles)[:-2], widths[:-2], rtol=0.12)


@pytest.mark.parametrize(
    ("hz", "db"),
    # ISO 226:2003, table 1.
    [
        (20, 78.5),
        (31.5, 59.5),
        (63, 37.5),
        (125, 22.1),
        (250, 11.4),
        (500, 4.4),
        (1000, 2.4),
        (2000, -1.3),
        (3150, -6.0),
        (4000, -5.4),
        (8000, 12.6),
        (12_500, 12.3),
    ],
)
def test_the_threshold_in_quiet_is_that_of_the_standard(hz: float, db: float) -> None:
    assert hearing_threshold_db(np.array([hz]))[0] == pytest.approx(db, abs=0.1)
    assert masked_threshold_db(np.array([hz]), maskers=QUIET)[0] == pytest.approx(db, abs=0.1)


@pytest.mark.parametrize("db", [40.0, 60.0, 80.0])
def test_a_tone_masks_upwards_less_steeply_the_louder_it_is(db: float) -> None:
    # 24 + 230 Hz / f - 0.2 L dB/Bark above (J. Acoust. Soc. Am. 71 (1982) 679), 27 below.
    place = critical_band_rate(np.array([1000.0]))[0]
    hz = np.geomspace(400, 3000, 400)
    away = critical_band_rate(hz) - place
    got = masked_threshold_db(hz, maskers=tone(1000, db)) - db
    for at, slope in ((0.7, 24 + 0.23 - 0.2 * db), (-0.7, 27.0)):
        near = np.argmin(np.abs(away - at))
        assert got[near] == pytest.approx(-slope * abs(away[near]), abs=0.2)


def test_a_tone_masks_itself_at_its_own_level() -> None:
    got = masked_threshold_db(np.array([1000.0]), maskers=tone(1000, 60))
    assert got[0] == pytest.approx(60, abs=1e-4)


def test_a_loud_bass_tone_leaves_the_treble_free() -> None:
    # 100 dB at 60 Hz: 24 + 230/60 - 20 = 7.83 dB/Bark; 3 kHz lies 15 Bark above it.
    got = masked_threshold_db(np.array([3150.0]), maskers=tone(60, 100))
    assert got[0] == pytest.approx(-6.0, abs=1.0)
    near = masked_threshold_db(np.array([400.0]), maskers=tone(60, 100))
    away = float(np.diff(critical_band_rate(np.array([60.0, 400.0])))[0])
    assert near[0] == pytest.approx(100 - (24 + 230 / 60 - 20) * away, abs=0.1)


def test_noise_masks_with_what_falls_into_a_critical_band() -> None:
    # 160 Hz wide at 1 kHz (Zwicker): 22.0 dB over the density level.
    hz = np.array([20.0, 20_000.0])
    noise = QuietNoise(frequency_hz=hz, density=np.full(2, 20e-6**2 * 10**2.0), rms=1.0, mean=0.0)
    got = masked_threshold_db(np.array([1000.0]), maskers=QUIET, noise=noise)
    assert got[0] == pytest.approx(20 + 10 * np.log10(160), abs=0.1)


@given(hz=st.floats(30, 12_000), db=st.floats(0, 110), more=st.floats(0, 10))
def test_a_louder_masker_never_lowers_a_threshold(*, hz: float, db: float, more: float) -> None:
    at = np.geomspace(30, 15_000, 60)
    low, high = (masked_threshold_db(at, maskers=tone(hz, one)) for one in (db, db + more))
    assert np.all(high >= low - 1e-9)
    assert np.all(low >= hearing_threshold_db(at) - 1e-9)


def test_maskers_without_levels_are_refused() -> None:
    with pytest.raises(DspError, match="Maskers: shapes differ"):
        Maskers(frequency_hz=np.array([60.0]), level_db=np.zeros(0))
