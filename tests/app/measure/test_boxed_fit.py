"""A fitted unit goes into a box with its coil, its figures and how they hang together."""

import numpy as np
import pytest

from app.errors import BadInputError
from app.measure.boxed import Typed
from app.measure.boxed_fit import boxed_of
from dsp.acoustic.air import Air
from dsp.box.drive import Drive
from dsp.box.enclosure import ClosedBox
from dsp.box.motion import motion
from dsp.box.predict import predict
from dsp.parameters.circuit import Circuit, Inductance, evaluate
from dsp.parameters.fit import LumpedFit, fit_lumped
from dsp.parameters.methods import known_mass
from dsp.parameters.small_signal import small_signal
from dsp.parameters.surroundings import Known, KnownAir, Surroundings
from tests.dsp.parameters.simulated import measured

AIR = Air(speed_m_per_s=343.0, density_kg_per_m3=1.2)
MASS = Known(value=12.5e-3, standard=0.1e-3)
AREA = Known(value=133e-4, standard=1e-4)
COIL = {
    "le_h": 0.3e-3,
    "l2_h": 0.4e-3,
    "r2_ohm": 2.5,
    "l3_h": 0.1e-3,
    "r3_ohm": 6.0,
    "k_ohm": 3.0,
    "exponent": 0.6,
}


def fitted(inductance: Inductance = "one pair", *, noise: float = 1e-3) -> LumpedFit:
    circuit = Circuit(inductance=inductance)
    values = {"re_ohm": 6.0, "fs_hz": 45.0158, "qms": 3.21412, "res_ohm": 38.4091, **COIL}
    vector = circuit.vector({name: values[name] for name in circuit.names})
    return fit_lumped(measured(circuit, vector=vector, noise=noise, seed=4), most_bumps=0)


def around(area: Known | None = AREA) -> Surroundings:
    return Surroundings(air=KnownAir(air=AIR, covariance=np.zeros((2, 2))), sd_m2=area)


@pytest.mark.parametrize("inductance", ["plain", "one pair", "two pairs", "fractional"])
def test_in_a_box_without_end_the_unit_has_the_impedance_that_was_fitted(
    inductance: Inductance,
) -> None:
    fit = fitted(inductance)
    found = boxed_of(
        known_mass(fit, mms_kg=MASS, surroundings=around()), fit=fit, air=AIR, typed=Typed()
    )
    hz = np.geomspace(10.0, 10_000.0, 60)
    endless = ClosedBox(volume_m3=1e6)
    got = motion(found.unit, box=endless, air=AIR, frequency_hz=hz).impedance
    want = evaluate(fit.circuit, vector=fit.vector, frequency_hz=hz).impedance
    np.testing.assert_allclose(got, want, rtol=1e-5)


def test_the_flat_part_is_as_sure_as_the_reference_level_of_the_same_estimates() -> None:
    # Two ways to one figure: from six parameters and their covariance, and from the fit itself.
    fit = fitted()
    estimates = known_mass(fit, mms_kg=MASS, surroundings=around())
    found = boxed_of(estimates, fit=fit, air=AIR, typed=Typed(xmax_m=4e-3))
    predicted = predict(
        found.unit,
        box=ClosedBox(volume_m3=10e-3),
        air=AIR,
        drive=Drive(),
        frequency_hz=np.array([50.0, 100.0]),
        known=found.known,
    ).numbers["passband_db"]
    direct = estimates.number("reference_2v83_db")
    assert predicted.value == pytest.approx(direct.value, abs=1e-9)
    assert predicted.uncertainty == pytest.approx(direct.uncertainty, rel=1e-6)
    assert found.unit.sd_m2 == pytest.approx(133e-4, rel=1e-9)
    assert found.unit.xmax_m == 4e-3


def test_in_thinner_air_suspension_and_area_stay_and_vas_shrinks() -> None:
    # Vas = rho c2 Sd2 Cms (Small 1972).
    fit = fitted()
    estimates = known_mass(fit, mms_kg=MASS, surroundings=around())
    thin = Air(speed_m_per_s=343.0, density_kg_per_m3=1.08)
    here, up = (
        boxed_of(estimates, fit=fit, air=air, typed=Typed(), found_in=AIR).unit
        for air in (AIR, thin)
    )
    assert up.sd_m2 == pytest.approx(here.sd_m2, rel=1e-12)
    assert up.vas_m3 == pytest.approx(0.9 * here.vas_m3, rel=1e-12)


def test_an_area_that_is_typed_is_exact_and_makes_vas() -> None:
    fit = fitted()
    estimates = known_mass(fit, mms_kg=MASS, surroundings=around(None))
    found = boxed_of(estimates, fit=fit, air=AIR, typed=Typed(sd_m2=133e-4, le_h=0.2e-3))
    cms = estimates.number("cms_mm_per_n")
    assert found.unit.vas_m3 == pytest.approx(1.2 * 343**2 * 133e-4**2 * cms.value * 1e-3)
    assert found.known is not None
    relative = np.sqrt(np.diag(found.known.covariance))
    assert cms.uncertainty is not None
    assert relative[3] == pytest.approx(cms.uncertainty / 2 / cms.value, rel=1e-9)
    assert relative[4] == 0.0
    assert (found.unit.le_h, found.unit.pairs) == (0.2e-3, ())


def test_what_speaks_against_a_figure_speaks_against_the_box() -> None:
    circuit = Circuit(inductance="plain", creep=True)
    values = {"re_ohm": 6.0, "fs_hz": 45.0, "qms": 4.0, "res_ohm": 30.0, "le_h": 3e-4}
    vector = circuit.vector({**values, "creep": 0.15})
    fit = fit_lumped(measured(circuit, vector=vector, noise=3e-4, seed=1), most_bumps=0)
    assert fit.circuit.creep
    estimates = known_mass(fit, mms_kg=MASS, surroundings=around())
    said = boxed_of(estimates, fit=fit, air=AIR, typed=Typed()).warnings
    assert any("creeps" in one for one in said)


def test_without_a_mass_there_is_no_box() -> None:
    fit = fitted()
    with pytest.raises(BadInputError, match="not found in the take: given cms_mm_per_n, vas_l"):
        boxed_of(small_signal(fit), fit=fit, air=AIR, typed=Typed(sd_m2=133e-4))
    alone = known_mass(fit, mms_kg=MASS, surroundings=around(None))
    with pytest.raises(BadInputError, match="given vas_l"):
        boxed_of(alone, fit=fit, air=AIR, typed=Typed())
