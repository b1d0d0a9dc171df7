"""Speed of sound and density of moist air.

Sources: O. Cramer, J. Acoust. Soc. Am. 93 (1993) 2510 (speed); CIPM-2007, A. Picard et al.,
Metrologia 45 (2008) 149 (density); both evaluated apart from our code. Witness: pyfar 0.8.1, whose
density is that of an ideal mixture.
"""

import pyfar
import pytest

from dsp.acoustic.air import air


@pytest.mark.parametrize(
    ("temperature_c", "humidity", "kpa", "c_314", "c_400", "rho", "rho_c"),
    [
        (0.0, 0.0, 101.325, 331.4550, 331.4477, 1.293049, 428.5875),
        (15.0, 50.0, 101.325, 340.8832, 340.8756, 1.221631, 416.4336),
        (20.0, 0.0, 101.325, 343.3672, 343.3595, 1.204557, 413.6055),
        (20.0, 50.0, 101.325, 343.9944, 343.9867, 1.199314, 412.5573),
        (23.0, 50.0, 101.325, 345.8740, 345.8663, 1.186084, 410.2357),
        (25.0, 50.0, 101.325, 347.1343, 347.1265, 1.177315, 408.6865),
        (30.0, 60.0, 101.325, 350.5496, 350.5418, 1.153677, 404.4211),
        (20.0, 50.0, 95.0, 344.0334, 344.0258, 1.124096, 386.7268),
    ],
)
def test_air_has_cramer_s_speed_and_the_density_of_cipm_2007(
    *,
    temperature_c: float,
    humidity: float,
    kpa: float,
    c_314: float,
    c_400: float,
    rho: float,
    rho_c: float,
) -> None:
    def of(co2_ppm: float) -> tuple[float, float]:
        got = air(
            temperature_c=temperature_c,
            pressure_kpa=kpa,
            humidity_percent=humidity,
            co2_ppm=co2_ppm,
        )
        return got.speed_m_per_s, got.density_kg_per_m3

    assert of(314)[0] == pytest.approx(c_314, abs=1e-4)
    assert of(400)[0] == pytest.approx(c_400, abs=1e-4)
    assert of(400)[1] == pytest.approx(rho, abs=1e-6)
    assert of(314)[0] * of(400)[1] == pytest.approx(rho_c, abs=2e-4)


def test_343_99_m_per_s_belongs_to_half_humidity_and_not_to_dry_air() -> None:
    def speed(humidity: float) -> float:
        return air(temperature_c=20, pressure_kpa=101.325, humidity_percent=humidity).speed_m_per_s

    assert speed(50) == pytest.approx(343.9867, abs=1e-4)
    assert speed(0) == pytest.approx(343.3595, abs=1e-4)
    assert abs(speed(0) - 343.9867) > 0.6


def test_one_kelvin_is_0_58_m_per_s_at_20_degrees() -> None:
    def speed(temperature_c: float) -> float:
        return air(
            temperature_c=temperature_c, pressure_kpa=101.325, humidity_percent=0, co2_ppm=314
        ).speed_m_per_s

    assert speed(20.5) - speed(19.5) == pytest.approx(0.5845, abs=5e-5)
    # The law of thumb 331.3 + 0.606 t is 343.42: right to 0.3 %.
    assert speed(20) == pytest.approx(331.3 + 0.606 * 20, rel=3e-3)


def test_an_independent_library_finds_the_same_air() -> None:
    got = air(temperature_c=20, pressure_kpa=101.325, humidity_percent=50)
    speed = float(pyfar.constants.speed_of_sound_cramer(20.0, 0.5, 400.0))
    assert got.speed_m_per_s == pytest.approx(speed, abs=1e-4)
    density = float(pyfar.constants.density_of_air(20.0, 0.5))
    assert got.density_kg_per_m3 == pytest.approx(density, rel=5e-4)
