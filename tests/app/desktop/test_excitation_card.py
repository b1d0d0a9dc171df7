"""The excitation's card says what stands in the procedure, and what was refused."""

import pytest

from app.desktop.presenters.excitation import (
    KINDS,
    ExcitationField,
    excitation_card,
    refused_by_chain,
    refused_of,
)
from app.procedure.edit_excitation import with_kind, with_level_unit, with_part, with_typed
from app.procedure.excitation_fields import FIELDS
from app.procedure.excitation_schema import Excitation
from app.procedure.shipped import find_procedure
from hardware.errors import ValueRefusedError
from tests.app.measure.bench_job import procedure


def fields(excitation: Excitation, part: int | None = None) -> dict[str, ExcitationField]:
    return {one.id: one for one in excitation_card(excitation, part=part).fields}


def test_a_sweep_shows_span_level_time_and_repeats() -> None:
    card = excitation_card(procedure().procedure.excitation)
    assert card.kind_text == "log sweep"
    assert [(one.label, one.text, one.unit) for one in card.fields] == [
        ("Span", "20 – 20\N{NO-BREAK SPACE}000", "Hz"),
        ("Level", "2", "V rms"),
        ("Time", "0.5", "s"),
        ("Repeat", "1", "×"),
    ]


def test_zones_are_written_as_they_are_typed() -> None:
    loaded = find_procedure("baffle-stepped")
    text = fields(loaded.procedure.excitation)["zones"].text
    spaced = text.replace("\N{NO-BREAK SPACE}", " ")
    assert spaced == "20 000 – 2500 / 12; 2400 – 200 / 6; 190 – 40 / 12"
    assert with_typed(loaded, "zones", text).procedure == loaded.procedure


@pytest.mark.parametrize("kind", [kind for kind, _ in KINDS if kind != "file"])
def test_every_text_of_a_card_can_be_typed_back(kind: str) -> None:
    loaded = with_kind(procedure(), kind)
    for one in excitation_card(loaded.procedure.excitation).fields:
        assert with_typed(loaded, one.id, one.text).procedure == loaded.procedure, one.id
    assert FIELDS.keys() == dict(KINDS).keys()


def test_watts_are_shown_as_watts() -> None:
    loaded = with_level_unit(procedure(), "W", nominal_ohm=8.0)
    level = fields(loaded.procedure.excitation)["level"]
    assert (level.text, level.unit) == ("0.5", "W")


def test_a_part_without_a_level_shows_that_of_its_series() -> None:
    series = with_part(with_kind(procedure(), "series"), "tones", after=0)
    silent = with_typed(series, "level", "", part=1).procedure.excitation
    card = excitation_card(silent, part=1)
    assert card.parts == ("1 log sweep", "2 tones")
    assert "series" not in dict(card.kinds)
    level = fields(silent, part=1)["level"]
    assert (level.text, level.placeholder) == ("", "2")


def test_a_refusal_keeps_what_was_typed_beside_its_field() -> None:
    loaded = procedure()
    with pytest.raises(ValueRefusedError) as caught:
        with_typed(loaded, "span", "300 – 200")
    refused = refused_of(caught.value, kind="log_sweep", field="span", text="300 – 200")
    card = excitation_card(loaded.procedure.excitation, refused=refused)
    span = card.fields[0]
    assert (span.text, span.refusal) == (
        "300 – 200",
        "not above start_hz: given 200, allowed above 300",
    )
    assert not any(one.refusal for one in card.fields[1:])


def test_what_the_chain_must_not_play_stands_beside_the_level() -> None:
    said = refused_by_chain("a.toml:9 excitation.level_v_rms", "too high", kind="log_sweep")
    assert said is not None
    assert excitation_card(procedure().procedure.excitation, refused=said).fields[1].text == "2"
    assert excitation_card(procedure().procedure.excitation, refused=said).fields[1].refusal
    assert refused_by_chain('chain "x" output.drive.nominal_ohm', "missing", kind="noise") is None
