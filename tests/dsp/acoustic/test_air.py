import pytest

from dsp import DspError
from dsp.acoustic.air import air

# O. Cramer, J. Acoust. Soc. Am. 93 (1993) 2510, at 314 and at 400 ppm of carbon dioxide; density
# CIPM-2007 (Metrologia 45 (2008) 149), by an independent script.
TABLE = [
    (0, 0, 101.325, 331.4550, 331.4477, 1.293049),
    (15, 50, 101.325, 340.8832, 340.8756, 1.221631),
    (20, 0, 101.325, 343.3672, 343.3595, 1.204557),
    (20, 50, 101.325, 343.9944, 343.9867, 1.199314),
    (23, 50, 101.325, 345.8740, 345.8663, 1.186084),
    (25, 50, 101.325, 347.1343, 347.1265, 1.177315),
    (30, 60, 101.325, 350.5496, 350.5418, 1.153677),
    (20, 50, 95.0, 344.0334, 344.0258, 1.124096),
]


@pytest.mark.parametrize(("t", "wet", "kpa", "c314", "c400", "rho"), TABLE)
def test_air_is_that_of_the_published_formulas(
    t: float, wet: float, kpa: float, c314: float, c400: float, rho: float
) -> None:
    got = air(temperature_c=t, pressure_kpa=kpa, humidity_percent=wet)
    old = air(temperature_c=t, pressure_kpa=kpa, humidity_percent=wet, co2_ppm=314)
    assert got.speed_m_per_s == pytest.approx(c400, abs=1e-4)
    assert old.speed_m_per_s == pytest.approx(c314, abs=1e-4)
    assert got.density_kg_per_m3 == pytest.approx(rho, abs=1e-6)


@pytest.mark.parametrize("t", [-40.0, -20.0, 45.0, 60.0])
def test_far_from_the_measured_span_it_stays_with_an_ideal_gas(t: float) -> None:
    # ISO 9613-1: 343.2 sqrt(T / 293.15).
    got = air(temperature_c=t, pressure_kpa=101.325, humidity_percent=0)
    assert got.speed_m_per_s == pytest.approx(343.2 * ((t + 273.15) / 293.15) ** 0.5, rel=3e-3)


def test_air_that_nobody_measures_in_is_refused() -> None:
    with pytest.raises(DspError, match="air: temperature_c outside: given 80, allowed -40 to 60"):
        air(temperature_c=80, pressure_kpa=101.325, humidity_percent=50)
    with pytest.raises(DspError, match="pressure_kpa outside"):
        air(temperature_c=20, pressure_kpa=101325, humidity_percent=50)
