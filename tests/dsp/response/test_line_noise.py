import numpy as np

from dsp.response.line_noise import line_noise, quiet_spectrum

TURNS = np.array([0.02])


def test_the_density_of_white_noise_is_its_variance() -> None:
    rng = np.random.default_rng(1)
    quiet = quiet_spectrum(3 * rng.standard_normal(12_000))
    got = line_noise([3 * rng.standard_normal(5000)], cycles_a_sample=TURNS, orders=10, quiet=quiet)
    # A variance told by v degrees of freedom scatters by sqrt(2 / v); four of them
    np.testing.assert_array_less(np.abs(got.density / 9 - 1), 4 * np.sqrt(2 / got.freedom))
    assert np.all(got.freedom > 90)


def test_lines_themselves_are_not_noise_fitted_or_not() -> None:
    rng = np.random.default_rng(2)
    noise = rng.standard_normal(5000)
    lines = 100 * np.cos(2 * np.pi * 0.02 * np.arange(5000)[:, None] * np.arange(1, 21)).sum(axis=1)
    none = quiet_spectrum(np.zeros(0))
    bare, hidden = (
        line_noise([wave], cycles_a_sample=TURNS, orders=10, quiet=none).density
        for wave in (noise, noise + lines)
    )
    np.testing.assert_allclose(hidden, bare, rtol=1e-9)


def test_a_silence_that_disagrees_is_not_believed() -> None:
    rng = np.random.default_rng(3)
    residual = [rng.standard_normal(5000)]
    alone = line_noise(residual, cycles_a_sample=TURNS, orders=4, quiet=quiet_spectrum(np.zeros(0)))
    for level in (0.0, 0.1, 10.0):
        silence = quiet_spectrum(level * rng.standard_normal(12_000))
        got = line_noise(residual, cycles_a_sample=TURNS, orders=4, quiet=silence)
        np.testing.assert_array_equal(got.density, alone.density)
        np.testing.assert_array_equal(got.freedom, alone.freedom)


def test_a_silence_that_agrees_adds_its_degrees_of_freedom() -> None:
    rng = np.random.default_rng(4)
    residual = [rng.standard_normal(250)]
    alone, together = (
        line_noise(residual, cycles_a_sample=TURNS, orders=4, quiet=quiet_spectrum(silence))
        for silence in (np.zeros(0), rng.standard_normal(12_000))
    )
    assert np.all(together.freedom > 10 * alone.freedom)


def test_noise_is_told_where_it_is() -> None:
    rng = np.random.default_rng(5)
    f = np.fft.rfftfreq(24_000)
    shaped = np.fft.irfft(
        np.fft.rfft(rng.standard_normal(24_000)) * np.where(f < 0.05, 10.0, 1.0), 24_000
    )
    got = line_noise([shaped], cycles_a_sample=TURNS, orders=6, quiet=quiet_spectrum(np.zeros(0)))
    level_db = 10 * np.log10(got.density[0])
    np.testing.assert_allclose(level_db, [20, 20, 0, 0, 0, 0], rtol=0, atol=3)
