"""Every fault of the virtual rig is found by its own figure, and a good unit by none.

The faults are the rig's own (``hardware/virtual/faults.py``), at severity 0.1 in 60 dB SPL of
factory noise, the microphone at 0.3 m.
"""

from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest
from numpy.polynomial.chebyshev import chebval

from app.measure.derive import derive
from app.measure.derived import Derived
from app.measure.events import Entered, Finished, State
from app.measure.excite import excite, play_request
from app.measure.irregular import told
from app.measure.make_take import Job
from app.measure.runner import Run
from app.procedure.shipped import demo_chain, find_procedure
from app.procedure.signatures import FILE
from app.records.store import Store
from dsp.conformity.verdict import Verdict
from hardware.card import Capture
from hardware.chain.snapshot import ChainSnapshot, ResponseTable
from hardware.virtual.card import VirtualCard
from tests.dsp.defects.played import excitation, read, tone_segment

LINE = find_procedure("line-defects")


def bench(virtual: Mapping[str, object], *, ambient: bool = False) -> ChainSnapshot:
    table = demo_chain().model_dump(exclude_none=True)
    table["chain"]["virtual"] |= {"spread": 1.0, **virtual}
    if ambient:
        table["chain"]["input"]["ambient"] = {"channel": 4, "full_scale_v": 4.0}
    return ChainSnapshot.model_validate(table)


def captured(chain: ChainSnapshot) -> Capture:
    return VirtualCard(chain).play(
        play_request(excite(LINE, chain), chain),
        on_progress=lambda _: None,
        should_stop=lambda: False,
    )


def taken(chain: ChainSnapshot, *, capture: Capture | None = None) -> Derived:
    return derive(
        capture or captured(chain), procedure=LINE, chain=chain, excitation=excite(LINE, chain)
    )


def in_the_hall(seed: int, faults: Mapping[str, float] | None = None) -> Derived:
    hall = {"distance_m": 0.3, "factory_noise_db_spl": 60.0, "seed": seed}
    return taken(bench({**hall, "faults": dict(faults or {})}))


def rubs(derived: Derived) -> bool:
    return not derived.numbers["rub_buzz_db"].is_bound


def breathes(derived: Derived) -> bool:
    depth = derived.numbers["noise_modulation"]
    return not depth.is_bound and depth.value > 0.3


def clicks(derived: Derived) -> bool:
    return derived.numbers["impulse_count"].value >= 3


@pytest.mark.parametrize(
    ("fault", "rub", "leak", "particle"),
    [
        ("", False, False, False),
        ("coil_rub", True, False, False),
        ("loose_joint", True, False, False),
        ("particle", False, False, True),
        ("air_leak", False, True, False),
    ],
)
def test_each_fault_is_found_by_its_own_figure_in_a_loud_hall(
    fault: str, rub: bool, leak: bool, particle: bool
) -> None:
    found = in_the_hall(21, {fault: 0.1} if fault else None)
    assert (rubs(found), breathes(found), clicks(found)) == (rub, leak, particle)


def test_each_tone_is_judged_on_its_own_where_noise_hides_what_another_would_tell() -> None:
    # 0.3 m, 60 dB SPL: at 60 Hz noise hides all below about -37 dB, at 100 Hz below -45. A rub of
    # 0.1 adds -49 dB in all above the tenth order at 60 Hz, and peaks at either.
    derived = in_the_hall(21, {"coil_rub": 0.1})
    curve = derived.curves["rub_buzz"]
    assert curve.frequency_hz.tolist() == [60.0, 100.0, 160.0]
    assert curve.is_bound is not None
    assert not curve.is_bound[1]
    assert derived.numbers["rub_buzz_db"].value >= curve.value[1]
    quiet = in_the_hall(21).curves["rub_buzz"]
    assert quiet.is_bound is not None
    assert quiet.is_bound.all()
    assert curve.value[1] > quiet.value[1] + 2


def test_of_a_tone_that_is_played_twice_what_is_heard_counts() -> None:
    # 1 % of order 20 in the second one alone: -40 dB; in the first one noise hides less than that.
    played = excitation(60.0, 60.0)
    second = np.arange(played.samples.size) >= tone_segment(played).hold_start[1]
    order = np.where(second, 0.01 * chebval(played.samples, [0.0] * 20 + [1.0]), 0.0)
    curve = told(read(played, more=order, rms=1e-3), ratio_db=0.5).curves["rub_buzz"]
    assert curve.frequency_hz.tolist() == [60.0]
    assert curve.is_bound is not None
    assert not curve.is_bound[0]
    assert curve.value[0] == pytest.approx(-40.0, abs=1.0)
    assert curve.uncertainty is not None
    assert curve.uncertainty[0] > 0.5


def test_what_the_microphone_adds_is_taken_out_of_the_residual() -> None:
    # The rig's microphone adds what its table says; read without the table, that stays in.
    quiet = {"distance_m": 0.3, "noise_db_spl": None, "converter_noise_dbfs": -140.0}
    chain = bench({**quiet, "seed": 21, "faults": {"loose_joint": 0.5}})
    plain = taken(chain)
    table = ResponseTable(
        hz=(20.0, 1000.0, 2000.0, 12_000.0, 20_000.0), db=(0.0, 0.0, 4.0, 4.0, 0.0)
    )
    heard = chain.model_copy(update={"response": table})
    capture = captured(heard)
    right, wrong = taken(heard, capture=capture), taken(chain, capture=capture)
    for name in ("rub_buzz_db", "audible_excess_db"):
        want, got, without = (one.numbers[name].value for one in (plain, right, wrong))
        assert got == pytest.approx(want, abs=0.2)
        assert without > want + 2


def test_a_lead_that_strikes_with_jitter_shows_in_clicks() -> None:
    assert clicks(in_the_hall(22, {"lead_slap": 0.1}))


def test_clanks_of_a_hall_fail_no_good_unit() -> None:
    for seed in range(3):
        hall = {"distance_m": 0.3, "factory_noise_db_spl": 60.0, "clanks_per_s": 1.0}
        found = taken(bench({**hall, "seed": 30 + seed}))
        assert (rubs(found), breathes(found), clicks(found)) == (False, False, False)


def test_the_whole_capture_lasts_two_and_a_half_seconds_at_most() -> None:
    assert excite(LINE, bench({})).duration_s <= 2.5


def test_a_disturbed_take_is_made_again_a_bounded_number_of_times_and_says_so(
    tmp_path: Path,
) -> None:
    chain = bench({"clanks_per_s": 8.0, "seed": 7}, ambient=True)
    (tmp_path / FILE).write_text("[causes]\n")
    with Store.open(tmp_path / "s.sqlite") as store:
        events = list(
            Run(
                Job(procedure=LINE, chain=chain, store=store),
                excitation=excite(LINE, chain),
                card=VirtualCard(chain),
            ).events()
        )
        finished = events[-1]
        assert isinstance(finished, Finished)
        kept = store.take(finished.take.id).warnings
    played = [one.state for one in events if isinstance(one, Entered)].count(State.PLAYING)
    assert played == 1 + LINE.procedure.quantities.defects.retakes
    again = "made again twice, because what was heard besides the unit disturbed it"
    assert kept[0].startswith(again)
    # What was wrong with a file of one's own is told with the take that stands, too.
    assert kept[-1].startswith("findings by the signatures that ship: ")
    assert kept.count(kept[0]) == kept.count(kept[-1]) == 1
    assert finished.derived.numbers["impulse_count"].value <= 2


def test_a_good_unit_at_an_undisturbed_bench_conforms_at_the_first_take() -> None:
    chain = bench({"seed": 6})
    events = list(
        Run(
            Job(procedure=LINE, chain=chain),
            excitation=excite(LINE, chain),
            card=VirtualCard(chain),
        ).events()
    )
    finished = events[-1]
    assert isinstance(finished, Finished)
    assert finished.take.verdict is Verdict.CONFORMS
    assert not any("again" in sentence for sentence in finished.take.warnings)
