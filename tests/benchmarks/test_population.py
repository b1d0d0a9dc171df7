"""The population's own short cuts, held against the rig, and causes named from end to end."""

import math

import numpy as np
import pytest

from app.measure.derive import derive
from app.measure.excite import play_request
from app.measure.findings import findings
from app.measure.judge import judge
from app.measure.likes import Likes
from app.measure.usuals import usuals_of
from app.procedure.signatures import shipped_signatures
from app.records.take import Finding
from dsp.conformity.verdict import Verdict
from hardware.chain.snapshot import ChainSnapshot
from hardware.virtual.card import VirtualCard
from hardware.virtual.wires import per_pascal
from tests.benchmarks.population.figures import Told, told
from tests.benchmarks.population.hall import Hall, surroundings
from tests.benchmarks.population.heard import Heard, Shown, listen
from tests.benchmarks.population.limits import score, usual_figures
from tests.benchmarks.population.recorded import recorded
from tests.benchmarks.population.roc import area_under_roc, smallest_found, threshold
from tests.benchmarks.population.simulate import simulate
from tests.benchmarks.population.specimen import IRREGULAR, Kind, Specimen
from tests.benchmarks.population.station import RATE_HZ, station

QUIET = (Hall(noise_db_spl=45.0),)


def test_the_short_cut_plays_what_the_rig_plays() -> None:
    specimen = Specimen(kind="coil rub", severity=0.1, seed=3)
    table = station().chain.model_dump(exclude_none=True)
    table["chain"]["virtual"] |= {
        "spread": 1.0,
        "seed": specimen.seed,
        "faults": {"coil_rub": specimen.severity},
        "converter_noise_dbfs": -300.0,
        "noise_db_spl": -100.0,
        "latency_samples": 0.0,
    }
    chain = ChainSnapshot.model_validate(table)
    capture = VirtualCard(chain).play(
        play_request(station().excitation, chain),
        on_progress=lambda _: None,
        should_stop=lambda: False,
    )
    played = simulate(specimen)
    rig_pa = capture.samples[: played.pressure_pa.size, 0] / per_pascal(chain.chain)
    # 80 dB below the sound: far below what a rub of 0.1 adds above the tenth harmonic, -49 dB.
    assert np.std(played.pressure_pa - rig_pa) < 1e-4 * np.std(rig_pa)


def test_noise_is_as_loud_as_it_says_and_clanks_come_first_to_the_hall() -> None:
    quiet = surroundings(Hall(noise_db_spl=60.0), samples=4 * RATE_HZ, seed=1)
    rms = float(np.std(quiet.at_unit_pa))
    assert 20 * math.log10(rms / 20e-6) == pytest.approx(60.0, abs=1.0)
    clanks = Hall(noise_db_spl=0.0, clanks_per_s=1.0, second_microphone=True)
    loud = surroundings(clanks, samples=4 * RATE_HZ, seed=1)
    assert loud.in_hall_pa is not None
    first = [int(np.argmax(np.abs(x) > 0.005)) for x in (loud.in_hall_pa, loud.at_unit_pa)]
    assert 0.002 < (first[1] - first[0]) / RATE_HZ < 0.02


@pytest.mark.parametrize("kind", ["loose joint", "air leak"])
def test_what_is_heard_of_defects_alone_is_what_a_whole_take_tells(kind: Kind) -> None:
    played = simulate(Specimen(kind=kind, severity=0.2, seed=900))
    hall = Hall(noise_db_spl=45.0, second_microphone=True)
    alone = listen(played.pressure_pa, hall=hall, seed=1, at=station()).found
    whole = derive(
        recorded(played, hall=hall, seed=1),
        procedure=station().procedure,
        chain=station().chain_with_ambient,
        excitation=station().excitation,
    )
    # Converters' noise and the clock's last digits aside.
    for name in ("noise_modulation", "impulse_count", "rub_buzz_db"):
        assert alone.numbers[name].is_bound == whole.numbers[name].is_bound
        assert alone.numbers[name].value == pytest.approx(whole.numbers[name].value, abs=0.05)
    np.testing.assert_allclose(
        alone.curves["rub_buzz"].value, whole.curves["rub_buzz"].value, atol=0.1
    )


def test_a_bound_breaks_no_limit_however_high() -> None:
    def take(value: float, *, is_bound: bool) -> Heard:
        shown = {"rub_buzz 60.0": Shown(value=value, is_bound=is_bound)}
        return Heard(specimen=Specimen(), hall=QUIET[0], station="", figures=shown)

    usual = usual_figures([take(value, is_bound=True) for value in (-41.0, -40.0, -39.0)])
    # Deviation of three values one apart: sqrt(2 / 3).
    assert score(take(-37.0, is_bound=False), usual=usual) == pytest.approx(3 / math.sqrt(2 / 3))
    assert score(take(-37.0, is_bound=True), usual=usual) == -math.inf


def test_area_threshold_and_smallest_severity_against_closed_forms() -> None:
    # Two normal distributions one apart: Phi(1 / sqrt 2) = 0.7602.
    rng = np.random.default_rng(1)
    good, faulty = rng.normal(size=2000), rng.normal(1.0, size=2000)
    assert area_under_roc(good, faulty) == pytest.approx(0.7602, abs=0.02)
    # Of an exponential distribution one in a thousand lies above ln 1000.
    few = rng.exponential(size=400)
    assert threshold(few, false_rejects=1e-3) == pytest.approx(math.log(1000), rel=0.25)
    # Three in a hundred at 1, all others at 0: drawn on from there, ln 30 times as far.
    counts = np.repeat([0.0, 1.0], [97, 3])
    assert threshold(counts, false_rejects=1e-3) == pytest.approx(math.log(30))
    assert smallest_found({0.05: 0.2, 0.1: 0.95, 0.2: 1.0}) == 0.1
    assert math.isnan(smallest_found({0.1: 1.0, 0.2: 0.5}))


@pytest.fixture(scope="module")
def lot() -> Likes:
    units = tuple(told((Specimen(seed=seed), QUIET))[0].like for seed in range(6))
    return Likes(units=units, told="6 good units")


def first_finding(one: Told, *, lot: Likes) -> Finding:
    signatures = shipped_signatures()
    found = findings(
        numbers=one.like.numbers,
        curves=one.like.curves,
        verdict=Verdict.DOES_NOT_CONFORM,
        usuals=usuals_of(lot, signatures=signatures),
        signatures=signatures,
    )
    return found[0]


@pytest.mark.parametrize("kind", [*IRREGULAR, "open lead", "shorted lead", "microphone missing"])
def test_a_fault_that_is_heard_is_named_from_the_recording(kind: Kind, lot: Likes) -> None:
    specimen = Specimen(kind=kind, severity=0.2, seed=900)
    (one,) = told((specimen, QUIET))
    first = first_finding(one, lot=lot)
    assert first.cause == specimen.cause
    assert first.confidence > 0.5


def test_nothing_that_a_dead_microphone_tells_lets_a_mask_conform() -> None:
    here = station()
    derived = derive(
        recorded(
            simulate(Specimen(kind="microphone missing", seed=3)),
            hall=QUIET[0],
            seed=31,
            hears=False,
        ),
        procedure=here.procedure,
        chain=here.chain,
        excitation=here.excitation,
    )
    judged = judge(derived, procedure=here.procedure.procedure, reference=None)
    assert {one.verdict for one in judged.masks.values()} == {Verdict.NOT_DECIDED}
    for name in ("particles", "leak"):
        assert judged.masks[name].reason.startswith("the microphone did not hear the tones")
    assert not derived.numbers["audible_excess_db"].trusted


def test_a_good_unit_is_told_nothing_of(lot: Likes) -> None:
    signatures = shipped_signatures()
    for seed in (50, 51, 52):
        (one,) = told((Specimen(seed=seed), QUIET))
        assert not findings(
            numbers=one.like.numbers,
            curves=one.like.curves,
            verdict=Verdict.CONFORMS,
            usuals=usuals_of(lot, signatures=signatures),
            signatures=signatures,
        )
