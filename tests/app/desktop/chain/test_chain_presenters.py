"""What the Chain bay says of a chain, held against arithmetic by hand and the calendar."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from app.desktop.presenters.chain_budget import budget_rows
from app.desktop.presenters.chain_card import ONLY, RIG, TWO, card_state
from app.desktop.presenters.chain_drift import month_ticks, shown_span
from app.desktop.presenters.chain_history import history
from app.desktop.presenters.chain_levels import level_rows, level_words
from app.desktop.presenters.chain_link import RefusedKey, link_card
from app.desktop.presenters.chain_links import LINKS, spec_of, text_of
from app.desktop.presenters.chain_wiring import channel_lines, wiring_note, wiring_rows
from app.desktop.presenters.chain_words import ChainSituation, chain_words
from app.desktop.presenters.kept_rows import link_rows
from app.desktop.presenters.mark import Mark
from hardware.chain.edit import Draft, on_card, with_chain_values, without_input
from hardware.chain.load import load_chain
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.soundcard.messages import DeviceInfo
from hardware.soundcard.preflight import Forecast, InputForecast, InputState
from hardware.toml_edit import node_at
from hardware.typed import typed_value

STALE = load_chain(Path("demo_data/bench-1-stale.toml"))
CARD = load_chain(Path("demo_data/bench-2-soundcard.toml"))
NOVEMBER = date(2026, 11, 26)


def device(name: str, *, host: str = "ALSA", outs: int = 2, ins: int = 2) -> DeviceInfo:
    return DeviceInfo(
        index=0,
        name=name,
        host_api=host,
        max_input_channels=ins,
        max_output_channels=outs,
        default_sample_rate_hz=48_000.0,
        is_default=False,
        portaudio="made up",
    )


def situation(snapshot: ChainSnapshot, **more: object) -> ChainSituation:
    usual: dict[str, object] = {
        "chain": snapshot.chain,
        "link": "microphone",
        "today": NOVEMBER,
        "is_saved": True,
        "has_file": True,
    }
    return ChainSituation(**usual | more)  # type: ignore[arg-type]  # as named above


@pytest.mark.parametrize("link", LINKS)
@pytest.mark.parametrize("snapshot", [STALE, CARD], ids=["rig", "card"])
def test_every_text_of_a_link_can_be_typed_back(snapshot: ChainSnapshot, link: str) -> None:
    for field in link_card(snapshot.chain, link, today=NOVEMBER).fields:
        spec = field.spec
        assert spec_of(spec.place) is not None
        node = node_at(Chain, spec.place)
        value = typed_value(field.text, key=spec.key, node=node, scale=spec.scale)
        if spec.place[-1] != "response":
            assert with_chain_values(snapshot, {spec.place: value}).chain == snapshot.chain


def test_a_microphone_is_shown_in_the_units_of_its_certificate() -> None:
    card = link_card(CARD.chain, "microphone", today=NOVEMBER)
    texts = {field.spec.place[-1]: field.text for field in card.fields}
    assert texts["sensitivity_v_per_pa"] == "12.7"
    assert texts["response"] == "microphone-0117.csv"
    facts = {fact.name: fact.value for fact in card.facts}
    # 2.21 V peak over 10 and 12.7 mV/Pa: 17.4 Pa peak, 12.3 Pa rms, 115.8 dB.
    assert facts["overload at"] == "116"


def test_what_an_input_hears_is_told_as_sound() -> None:
    # -76 dB re a full-scale sine of 2 V peak: 224 µV rms; over 50 × 12.5 mV/Pa 359 µPa, 25.1 dB.
    card = link_card(STALE.chain, "microphone", today=NOVEMBER, idle_dbfs=(-76.0,))
    assert {fact.name: fact.value for fact in card.facts}["hears now"] == "25"


@pytest.mark.parametrize(
    ("day", "mark", "says"),
    [
        (date(2026, 7, 27), Mark.GOOD, "Proved today; good until 25 October."),
        (date(2026, 10, 25), Mark.GOOD, "Proved 90 days ago; good until 25 October."),
        (date(2026, 10, 26), Mark.STALE, "Stale. Its term of 90 days ended on 25 October."),
        (date(2027, 1, 1), Mark.STALE, "Stale. Its term of 90 days ended on 25 October 2026."),
    ],
)
def test_a_link_is_stale_from_the_day_after_its_term(day: date, mark: Mark, says: str) -> None:
    card = link_card(STALE.chain, "microphone", today=day)
    assert card.mark is mark
    assert card.standing.startswith(says.removesuffix("."))


def test_a_link_without_a_day_was_never_proved_and_one_that_is_not_there_not_wired() -> None:
    undated = with_chain_values(
        STALE,
        {
            ("input", "sense", "calibrated_on"): None,
            ("input", "sense", "recalibrate_after_days"): None,
        },
    )
    assert link_card(undated.chain, "sense", today=NOVEMBER).mark is Mark.NONE
    loop = link_card(STALE.chain, "loopback", today=NOVEMBER)
    assert (loop.fields, loop.fact) == ((), "not wired")


def test_a_refused_text_stays_in_its_field_alone() -> None:
    place = ("input", "pressure", "sensitivity_v_per_pa")
    told = RefusedKey(place=place, text="loud", sentence="not a number: given loud")
    refused: dict[tuple[str | int, ...], RefusedKey] = {place: told}
    fields = link_card(STALE.chain, "microphone", today=NOVEMBER, refused=refused).fields
    assert [(one.text, one.refusal) for one in fields if one.refusal] == [
        ("loud", "not a number: given loud")
    ]


def test_an_input_that_is_begun_says_what_it_needs() -> None:
    draft = Draft(name="loopback", values={"channel": 4}, missing="full_scale_v")
    card = link_card(STALE.chain, "loopback", today=NOVEMBER, draft=draft)
    assert card.fact == "input 4"
    assert [one.spec.label for one in card.fields if one.is_needed] == ["Full scale"]
    row = {one.key: one for one in wiring_rows(STALE.chain, draft=draft)}["loopback"]
    assert (row.text, row.mark) == ("in 4, begun", Mark.UNDECIDED)


def test_wiring_says_channels_and_what_follows() -> None:
    rows = {one.key: one.text for one in wiring_rows(CARD.chain)}
    assert rows == {
        "drive": "out 1",
        "copy": "out 2",
        "pressure": "in 1",
        "sense": "in 2",
        "terminal": "not wired",
        "loopback": "in 3",
        "ambient": "not wired",
    }
    assert "loopback times the gain" in wiring_note(CARD.chain)
    assert wiring_note(STALE.chain) == ""
    assert "no impedance" in wiring_note(without_input(STALE, "sense").chain)


def test_the_second_microphone_is_proved_by_ear_and_needs_no_day() -> None:
    values: dict[tuple[str | int, ...], object] = {
        ("input", "ambient", "channel"): 4,
        ("input", "ambient", "full_scale_v"): 2.0,
    }
    chain = with_chain_values(STALE, values).chain
    card = link_card(chain, "ambient", today=NOVEMBER, idle_dbfs=(-60.0, -99.0, -99.0, -50.0))
    assert (card.fact, card.mark) == ("input 4", Mark.INFO)
    assert "clap" in card.need
    # 10 mV/Pa: a peak 50 dB below 2 V is 2 x 10^-2.5 / root 2 / 0.01 Pa rms, 86.99 dB.
    facts = {fact.name: fact.value for fact in card.facts}
    assert facts["hears now"] == "87"
    assert "microphone hears" in facts
    assert [one.spec.label for one in card.fields] == ["Full scale", "Sensitivity"]
    assert budget_rows(chain, "ambient") == ()
    assert not history(chain, "ambient", ()).can_be_proved
    # A chain with it is proved without it.
    proved = chain_words(replace(situation(STALE, today=date(2026, 8, 1)), chain=chain))
    assert proved.mark is Mark.GOOD
    draft = Draft(name="ambient", values={"channel": 4})
    begun = chain_words(situation(STALE, draft=draft))
    assert begun.happened == "The second microphone’s input is begun."


def test_channels_tell_what_they_hear_and_who_has_them() -> None:
    row = next(one for one in wiring_rows(STALE.chain) if one.key == "sense")
    lines = channel_lines(STALE.chain, row, count=4, idle_dbfs=(-60.0, -110.0, -200.0))
    assert [one.name for one in lines] == ["in 1", "in 2", "in 3", "in 4", "not wired"]
    assert [one.level_text for one in lines] == ["−60 dBFS", "−110 dBFS", "exact silence", "", ""]
    assert [one.taken_by for one in lines] == ["Pressure", "", "Voltage at terminals", "", ""]
    assert lines[0].fill == pytest.approx(0.5)
    drive = next(one for one in wiring_rows(STALE.chain) if one.key == "drive")
    outs = channel_lines(STALE.chain, drive, count=2, idle_dbfs=(-60.0,))
    assert [(one.name, one.level_text) for one in outs] == [("out 1", ""), ("out 2", "")]


def test_cards_are_offered_by_driver_and_one_that_is_gone_is_told() -> None:
    found = (device("A"), device("B", host="JACK", ins=8), device("C", outs=0))
    only = card_state(CARD.chain, found=found)
    assert (only.card, [key for key, _ in only.cards]) == (
        ONLY,
        [RIG, "card:A", "card:B", ONLY, TWO],
    )
    assert only.trouble.startswith("device: several cards fit")
    there = card_state(on_card(CARD, name="B").chain, found=found)
    assert (there.fact, there.input_channels, there.trouble) == ("2 out, 8 in", 8, "")
    gone = card_state(on_card(CARD, name="D").chain, found=found)
    assert ("card:D", "D") in gone.cards
    assert gone.trouble.startswith("device: no such card")
    through = card_state(on_card(CARD, name="B", host_api="JACK").chain, found=found)
    assert [key for key, _ in through.cards] == [RIG, "card:B", TWO]
    two = card_state(on_card(CARD, output_name="A", input_name="C").chain, found=found)
    assert (two.card, two.fact) == (TWO, "2 out, 2 in")
    assert [key for key, _ in two.inputs] == ["A", "B", "C"]
    assert card_state(CARD.chain, found=None).trouble == ""


def test_drift_counts_from_the_first_calibration() -> None:
    forms = [
        {
            "calibrated_on": day,
            "sensitivity_v_per_pa": value,
            "sensitivity_uncertainty_db": 0.2,
        }
        for day, value in (("2026-01-26", 0.0126), ("2025-10-27", 0.0128), ("2026-01-26", 0.0127))
    ]
    told = history(STALE.chain, "microphone", forms)
    assert [one.day.isoformat() for one in told.entries] == [
        "2025-10-27",
        "2026-01-26",
        "2026-07-27",
    ]
    # 20 log10(12.7 / 12.8) and 20 log10(12.5 / 12.8), by hand; of one day the last counts.
    assert [one.drift for one in told.entries] == pytest.approx([0, -0.068, -0.206], abs=0.001)
    assert told.entries[-1].interval == pytest.approx(12.5 * 0.0233, rel=0.01)  # 0.2 dB are 2.33 %
    (newest, *_) = link_rows(told, [], in_force=())
    assert (newest.made, newest.value) == ("2026-07-27", "12.50 ±0.29 mV/Pa")
    assert (newest.change, newest.standing) == ("−0.14 dB", "in force")
    assert told.due_on == date(2026, 10, 26)
    low, high = shown_span(told, today=NOVEMBER)
    assert low < date(2025, 10, 27).toordinal()
    assert high > NOVEMBER.toordinal()


def test_a_history_without_days_is_empty() -> None:
    assert history(STALE.chain, "loopback", []).entries == ()
    assert history(STALE.chain, "unit", []).entries == ()


def test_months_are_named_no_closer_than_there_is_room() -> None:
    year = month_ticks(date(2026, 1, 10).toordinal(), date(2026, 12, 20).toordinal())
    assert [word for _, word in year] == ["Mar", "May", "Jul", "Sep", "Nov"]
    decades = month_ticks(date(2000, 2, 1).toordinal(), date(2026, 12, 20).toordinal())
    assert 2 <= len(decades) <= 7


def test_sources_add_up_in_squares() -> None:
    # 0.2 dB, and 0.2 % three times, which are 0.0174 dB each: together 0.2022 dB.
    rows = budget_rows(STALE.chain, "microphone")
    assert rows[0] == ("sensitivity", "0.20")
    assert [value for _, value in rows[1:4]] == ["0.017"] * 3
    assert rows[-1] == ("together", "0.20")


def forecast(*states: InputState, scale: float = 1.0) -> Forecast:
    inputs = [
        InputForecast(channel=n, noise_peak=0.001, peak=0.5, state=state, gain_room_db=3.0)
        for n, state in enumerate(states, start=1)
    ]
    return Forecast(inputs=tuple(inputs), drive_scale=scale)


def test_a_trial_says_the_worst_first() -> None:
    fits, low = InputState.FITS, InputState.TOO_LOW
    chain = STALE.chain
    assert level_words(chain, forecast(fits, fits, fits)).startswith("Every input fits")
    assert level_words(chain, forecast(fits, low, fits)).startswith("The sense input hears little")
    clips = level_words(chain, forecast(InputState.CLIPS, low, fits, scale=0.5))
    assert clips == "At full drive pressure would clip: lower its gain, or the drive by 6.0 dB."
    dead = level_words(chain, forecast(InputState.CLIPS, fits, InputState.HEARS_NOTHING))
    assert dead == "The terminal input, channel 3, hears nothing: look at its wire."
    rows = level_rows(chain, forecast(fits, low, fits))
    assert (rows[1].noise, rows[1].peak, rows[1].mark) == ("−60", "−6", Mark.CAUTION)


def test_words_say_the_most_pressing_thing() -> None:
    stale = chain_words(situation(STALE))
    assert stale.happened == (
        "The microphone was proved 122 days ago; its term is 90. 3 more are stale."
    )
    sense = chain_words(situation(STALE, link="sense"))
    assert sense.happened.startswith("The sense resistor was proved")
    good = chain_words(situation(STALE, today=date(2026, 8, 1)))
    assert (good.mark, good.action) == (Mark.GOOD, "calibrate")
    well = chain_words(situation(STALE, today=date(2026, 8, 1), link="sense"))
    assert (well.mark, well.action) == (Mark.GOOD, "check_levels")
    assert chain_words(situation(STALE, is_saved=False)).action == "save"
    assert chain_words(situation(STALE, trouble="gone", is_saved=False)).action == "look_again"
    draft = Draft(name="loopback", values={"channel": 4})
    assert chain_words(situation(STALE, draft=draft)).mark is Mark.UNDECIDED
    playing = chain_words(situation(STALE, trial=0.4))
    assert (playing.progress, playing.enabled) == (0.4, False)


def test_calibrate_is_offered_where_it_proves_the_link_that_is_spoken_of() -> None:
    short = with_chain_values(STALE, {("input", "pressure", "recalibrate_after_days"): 20})
    today = date(2026, 9, 1)  # the other links hold until the end of October
    own = chain_words(situation(short, today=today))
    assert (own.mark, own.action) == (Mark.STALE, "calibrate")
    other = chain_words(situation(short, today=today, link="sense"))
    assert other.happened == own.happened
    assert other.action == "check_levels"
    assert other.next == "choose it on the strip, then press Calibrate."


def test_a_default_is_left_open_where_somebody_must_think_of_it() -> None:
    uncertain = spec_of(("input", "pressure", "response_uncertainty_db"))
    humidity = spec_of(("ambient", "humidity_percent"))
    assert uncertain is not None
    assert humidity is not None
    assert text_of(STALE.chain, uncertain) == ""
    assert text_of(STALE.chain, humidity) == "50"
