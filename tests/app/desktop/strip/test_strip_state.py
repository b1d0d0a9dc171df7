"""What the strip says of a chain: worth, health, levels. Closed forms stand beside the checks."""

import math
from datetime import date, timedelta

import pytest

from app.desktop.presenters.heard import Heard, Peaks, heard_next, silent
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.strip import OnBench, strip_state
from app.desktop.presenters.strip_health import refused
from app.desktop.presenters.strip_state import LINKS, LinkState, StripState, Wire
from app.procedure.shipped import demo_chain
from hardware.chain.schema import Chain

PROVED = date(2026, 7, 27)  # as the chain that ships says


def chain(*, without: tuple[str, ...] = (), pressure: dict[str, object] | None = None) -> Chain:
    table = demo_chain().chain.model_dump(exclude_none=True)
    for name in without:
        del table["input"][name]
    if pressure:
        table["input"]["pressure"] |= pressure
    return Chain.model_validate(table)


def strip(
    of: Chain, *, heard: Heard | None = None, after_days: int = 12, lost_at: str | None = None
) -> StripState:
    bench = OnBench(
        today=PROVED + timedelta(days=after_days),
        unit="T4-W31-0417",
        distance_m=1.0,
        drive_v_rms=2.0,
        lost_at=lost_at,
    )
    return strip_state(of, heard or Heard(), bench=bench)


def link(state: StripState, key: str) -> LinkState:
    return next(one for one in state.links if one.key == key)


def sounding(*peaks_dbfs: float) -> Heard:
    return heard_next(Heard(), peaks_dbfs=peaks_dbfs, sounding=True, at_s=0.0)


def test_the_links_come_as_the_signal_runs() -> None:
    assert tuple(one.key for one in strip(chain()).links) == LINKS


def test_a_link_is_worth_what_the_chain_file_says_and_no_digit_more() -> None:
    state = strip(chain())
    assert link(state, "output").value == "2.000 V full scale"  # ±0.2 %: the third decimal
    assert link(state, "microphone").value == "12.50 mV/Pa"  # ±0.2 dB is ±0.29: two digits of it
    assert link(state, "unit").value == "T4-W31-0417"


@pytest.mark.parametrize(
    ("days", "words"), [(0, "proved today"), (1, "proved 1 d ago"), (12, "proved 12 d ago")]
)
def test_a_proved_link_says_when(days: int, words: str) -> None:
    one = link(strip(chain(), after_days=days), "amplifier")
    assert (one.mark, one.health, one.short) == (Mark.GOOD, words, "proved")


def test_a_link_past_its_term_is_stale_and_says_by_how_much() -> None:
    termed = chain(pressure={"recalibrate_after_days": 90})
    fresh, stale = strip(termed, after_days=90), strip(termed, after_days=94)
    assert link(fresh, "microphone").mark is Mark.GOOD  # the last day still counts
    assert link(stale, "microphone").mark is Mark.STALE
    assert link(stale, "microphone").health == "stale, 4 d overdue"
    assert link(stale, "sense").mark is Mark.GOOD


def test_a_link_that_is_not_wired_says_so() -> None:
    state = strip(chain(without=("sense",)))
    assert link(state, "sense").health == "not wired"
    assert not link(state, "sense").is_there
    assert state.paths[0].label == "no current"


def test_a_bench_without_a_microphone_shows_the_input_of_the_current() -> None:
    state = strip(chain(without=("pressure",)))
    assert link(state, "microphone").health == "not wired"
    assert link(state, "input").value == "1.0000 V full scale"  # ±0.0020 V
    assert link(state, "unit").wire is Wire.NONE


def test_levels_on_the_wire_are_those_of_a_sine_with_that_peak() -> None:
    # Channels: pressure 2 V full scale, gain 50, 12.5 mV/Pa; sense 1 V, 0.22 ohm; terminal 20 V.
    state = strip(chain(), heard=sounding(-20.0, -20.0, -20.0))
    at_jack = 2.0 * 10 ** (-20 / 20) / math.sqrt(2)
    spl = 20 * math.log10(at_jack / 50 / 0.0125 / 20e-6)  # IEC 61672-1: 20 µPa
    assert link(state, "microphone").live.text == f"{spl:.1f} dB"
    assert link(state, "preamplifier").live.text == f"{at_jack * 1000:.0f} mV"
    assert link(state, "input").live.text == "−20.0 dBFS"
    assert link(state, "input").live.most == "20 left"
    assert link(state, "input").live.fill == pytest.approx(1 - 20 / 60)
    assert link(state, "amplifier").live.text == f"{20 * 0.1 / math.sqrt(2):.2f} V"
    assert state.paths[0].label == f"current {0.1 / math.sqrt(2) / 0.22 * 1000:.0f} mA"


def test_without_a_terminal_input_the_drive_is_what_was_asked_for() -> None:
    state = strip(chain(without=("terminal",)), heard=sounding(-20.0, -20.0))
    assert link(state, "amplifier").live.text == "2.00 V"
    # 2 V rms through a gain of 10 at 2 V full scale.
    dbfs = 20 * math.log10(2 * math.sqrt(2) / 10 / 2)
    assert link(state, "output").live.text == f"−{abs(dbfs):.1f} dBFS"


def test_a_silent_chain_plays_nothing() -> None:
    state = strip(chain())
    assert not state.is_sounding
    assert link(state, "output").live.text == "silent"
    assert link(state, "input").live.fill is None


def test_noise_of_an_idle_input_is_seen_and_a_dead_one_is_told_from_it() -> None:
    fills = []
    for level in (-80.0, -118.0):
        heard = heard_next(Heard(), peaks_dbfs=(level,) * 3, sounding=False, at_s=0.0)
        fills.append(link(strip(chain(), heard=heard), "input").live.fill)
    assert fills == pytest.approx([1 - 80 / 120, 1 - 118 / 120])


def test_the_peak_of_a_take_is_held_while_it_plays() -> None:
    heard = sounding(-30.0, -9.0, -12.0)
    for at_s, level in ((1.0, -12.0), (30.0, -40.0)):
        heard = heard_next(heard, peaks_dbfs=(level, -9.0, -12.0), sounding=True, at_s=at_s)
    assert heard.of(1) == Peaks(now=-40.0, held=-12.0)


def test_while_silent_a_peak_lapses() -> None:
    heard = Heard()
    for at_s, level in ((0.0, -80.0), (1.0, -60.0), (4.0, -80.0)):
        heard = heard_next(heard, peaks_dbfs=(level,), sounding=False, at_s=at_s)
    assert heard.of(1) == Peaks(now=-80.0, held=-80.0)


def test_an_overload_is_told_until_the_next_take() -> None:
    heard = sounding(0.0, -9.0, -12.0)
    heard = heard_next(heard, peaks_dbfs=(-50.0, -9.0, -12.0), sounding=True, at_s=1.0)
    one = link(strip(chain(), heard=heard), "input")
    assert one.live.over
    assert one.live.most == "overload"
    ended = silent(heard)
    assert 1 in ended.over
    again = heard_next(ended, peaks_dbfs=(-50.0, -9.0, -12.0), sounding=True, at_s=9.0)
    assert not again.over


def test_a_card_that_went_away_cuts_the_wire_on_both_sides() -> None:
    state = strip(chain(), heard=sounding(-20.0, -20.0, -20.0), lost_at="14:32:07")
    for key in ("output", "input"):
        assert link(state, key).health == "lost 14:32:07"
        assert link(state, key).mark is Mark.BAD
    assert link(state, "output").wire is Wire.CUT
    assert link(state, "preamplifier").wire is Wire.CUT
    assert link(state, "microphone").mark is Mark.GOOD
    assert [path.label for path in state.paths] == ["no current"]
    assert not state.is_sounding


def test_a_tile_is_read_aloud_with_value_and_state() -> None:
    one = link(strip(chain(), heard=sounding(-20.0, -20.0, -20.0)), "input")
    assert one.spoken == "Input, 2.000 V full scale, proved 12 d ago"
    assert one.spoken_level == "−20.0 dBFS 20 left"


@pytest.mark.parametrize(
    ("quantity", "key"),
    [
        ("input.pressure.sensitivity_v_per_pa", "microphone"),
        ("input.pressure.preamplifier_gain", "preamplifier"),
        ("input.pressure.full_scale_v", "input"),
        ("output.drive.full_scale_v", "output"),
        ("output.drive.amplifier_gain", "amplifier"),
        ("input.sense.resistor_ohm", "sense"),
    ],
)
def test_a_refusal_stands_at_the_link_that_it_is_about_and_at_no_other(
    quantity: str, key: str
) -> None:
    failed = {quantity: refused(PROVED, purpose="calibration")}
    state = strip_state(chain(), Heard(), bench=OnBench(today=PROVED, failed=failed))
    assert [one.key for one in state.links if one.short == "refused"] == [key]
