"""How the moving mass is found: what is typed, what it means, what is refused beside its field."""

import math
from dataclasses import replace

import pytest

from app.desktop.presenters.parameters_method import (
    MethodForm,
    asked_of,
    first_method,
    method_state,
    second_options,
)
from app.procedure.schema import Parameters
from dsp.parameters.surroundings import Known


def _form(kind: str = "none", **texts: str) -> MethodForm:
    form = MethodForm(texts=texts)
    return MethodForm(kind=kind, second=form.second, texts=form.texts)  # type: ignore[arg-type]


def test_half_of_the_surround_counts_with_the_cone() -> None:
    state = method_state(_form(cone="92", surround="116"))
    area = state.scaling.sd_m2
    assert area is not None
    assert area.value == pytest.approx(math.pi / 4 * 0.104**2)  # to the surround's middle
    assert state.area_told == "84.9 cm²"
    assert asked_of(state)["sd_cm2"] == pytest.approx(84.9487, abs=1e-4)


def test_an_area_that_is_typed_takes_the_place_of_diameters() -> None:
    form = _form(cone="92", surround="116").typed("sd", "90")
    assert form.texts["cone"] == ""
    area = method_state(form.typed("sd_interval", "2")).scaling.sd_m2
    assert area is not None
    assert area.value == pytest.approx(90e-4)
    assert area.standard == pytest.approx(0.9e-4)  # k = 2


@pytest.mark.parametrize(
    ("texts", "key", "words"),
    [
        ({"cone": "116", "surround": "92"}, "surround", "from the cone’s 116 mm"),
        ({"sd": "-3"}, "sd", "Given −3 cm², allowed above 0"),
        ({"sd": "thirty"}, "sd", "Not a number"),
        ({"sd": "30000"}, "sd", "allowed up to 20000 cm²"),
        ({"le": "0"}, "le", "allowed above 0"),
    ],
)
def test_a_wrong_value_is_refused_beside_its_field(
    texts: dict[str, str], key: str, words: str
) -> None:
    state = method_state(_form(**texts))
    assert words in state.refused[key]
    assert state.scaling.sd_m2 is None


@pytest.mark.parametrize("text", ["6", "6 g", "6,0 g"])
def test_an_added_mass_needs_its_take(text: str) -> None:
    form = _form("added_mass", amount=text, amount_interval="0.1")
    state = method_state(form)
    assert state.refused == {"second": "No take chosen."}
    assert state.scaling.kind == "none"
    chosen = method_state(MethodForm(kind="added_mass", second="a", texts=form.texts))
    assert not chosen.refused
    amount = chosen.scaling.amount
    assert amount is not None
    assert (amount.value, amount.standard) == pytest.approx((6e-3, 0.05e-3))
    assert chosen.scaling.second == "a"
    assert "mms_g" in asked_of(chosen)
    assert asked_of(chosen)["mms_g"] is None  # that mass is not the moving one


@pytest.mark.parametrize(
    ("kind", "key", "unit"), [("added_mass", "added_mass", "g"), ("closed_box", "box", "l")]
)
def test_a_second_take_belongs_to_the_procedure_and_comes_back_from_it(
    kind: str, key: str, unit: str
) -> None:
    form = _form(kind, sd="85", amount="6", amount_interval="0.12")
    missing = asked_of(method_state(form))
    assert f"{key}_{unit}" not in missing  # what scale there was stays until this one is whole
    assert "mms_g" not in missing
    keys = asked_of(method_state(replace(form, second="ab" * 16)))
    assert (keys[f"{key}_{unit}"], keys[f"{key}_uncertainty_percent"]) == pytest.approx((6.0, 2.0))
    assert (keys["second_take"], keys["mms_g"]) == ("ab" * 16, None)
    asked = Parameters.model_validate({k: v for k, v in keys.items() if v is not None})
    again = first_method(asked, hears=True, area=Known(value=85e-4))
    assert (again.kind, again.second) == (kind, "ab" * 16)
    assert method_state(again).scaling == method_state(replace(form, second="ab" * 16)).scaling


def test_the_chosen_take_is_offered_wherever_it_lies() -> None:
    assert second_options((), shown="", chosen="ab" * 16)[-1] == ("ab" * 16, "take abababab")


def test_a_test_box_and_the_pressure_need_the_area() -> None:
    for kind in ("closed_box", "pressure"):
        assert "needs the area" in method_state(_form(kind, amount="5")).refused["sd"]
    assert method_state(_form("pressure", sd="85")).scaling.kind == "pressure"


def test_a_known_mass_belongs_to_the_procedure_and_comes_back_from_it() -> None:
    state = method_state(_form("known_mass", sd="85", amount="8.2", amount_interval="0.2"))
    keys = asked_of(state)
    assert keys["mms_g"] == pytest.approx(8.2)
    assert keys["mms_uncertainty_percent"] == pytest.approx(100 * 0.2 / 8.2, rel=1e-5)
    asked = Parameters.model_validate({k: v for k, v in keys.items() if v is not None})
    again = first_method(asked, hears=True)
    assert again.kind == "known_mass"
    found = method_state(again).scaling.amount
    assert found is not None
    assert state.scaling.amount is not None
    assert found.standard == pytest.approx(state.scaling.amount.standard, rel=1e-4)


def test_with_a_microphone_and_an_area_the_pressure_is_the_scale() -> None:
    area = Known(value=85e-4, standard=0.85e-4)
    form = first_method(Parameters(), hears=True, area=area)
    assert (form.kind, form.texts["sd"], form.texts["sd_interval"]) == ("pressure", "85", "2")
    assert first_method(Parameters(), hears=False, area=area).kind == "none"
