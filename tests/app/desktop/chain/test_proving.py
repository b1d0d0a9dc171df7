"""Links proved in the real window on the rig, by keys; held against what the rig is in truth.

The chain's file says what somebody believes; ``[virtual.truth]`` says what the rig is. What is
found must be the truth within its own interval, and must stand in the file once it is kept.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMessageBox
from pytestqt.qtbot import QtBot

from app.desktop import hearing
from app.desktop.panels.chain import devices
from app.desktop.panels.chain.proving import Proving
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.prove_phase import ProvePhase
from app.records.calibration_record import CalibrationRecord
from hardware.chain.load import load_chain
from tests.app.desktop.chain.seat import CHAIN, PATIENCE_MS, Seat
from tests.app.report.pdf_words import pdf_words

# The output gives 1 % more than the file says, the sense resistor is 3 % more than the file says.
TRUE_OUTPUT_V, TRUE_OHM = 2.02, 0.2266
LINKS = """\
[input.sense]
channel = 2
full_scale_v = 1.0
full_scale_uncertainty_percent = 0.2
resistor_ohm = 0.22
calibrated_on = 2026-10-01
[input.terminal]
channel = 3
full_scale_v = 20.0
full_scale_uncertainty_percent = 0.2
calibrated_on = 2026-10-01
[input.loopback]
channel = 4
full_scale_v = 4.0
calibrated_on = 2026-10-01
"""
TRUTH = f"""\
[virtual.truth]
output_full_scale_v = {TRUE_OUTPUT_V}
resistor_ohm = {TRUE_OHM}
[virtual.voltmeter]
resolution_v = 0.0001
"""


class Proof(Seat):
    """A seat at a chain with every input."""

    @property
    def proving(self) -> Proving:
        assert self.bay.proofs.proving is not None
        return self.bay.proofs.proving

    @property
    def phase(self) -> ProvePhase:
        return self.proving.phase

    @property
    def kept(self) -> tuple[CalibrationRecord, ...]:
        return self.bench.store.calibrations()

    def begin(self, link: str, *, key: Qt.Key = Qt.Key.Key_K) -> None:
        self.bay.show_there(link)
        self.settle()
        self.press(key)
        self.qtbot.waitUntil(lambda: self.bay.is_calibrating, timeout=PATIENCE_MS)

    def wait(self, phase: ProvePhase) -> None:
        self.qtbot.waitUntil(lambda: self.proving.phase is phase, timeout=PATIENCE_MS)

    def field(self, key: str, text: str) -> None:
        box = self.proving.form_panel.fields[key].box
        box.setFocus()
        box.selectAll()
        QTest.keyClick(box, Qt.Key.Key_Delete)
        QTest.keyClicks(box, text)
        QTest.keyClick(box, Qt.Key.Key_Return)
        self.proving.page.setFocus()

    def read_the_meter(self) -> None:
        """Type what the rig's meter shows."""
        shown = next(f for f in self.proving.seen.live.facts if "shows" in f.name)
        QTest.keyClicks(self.proving.seen.volts.box, shown.value)
        QTest.keyClick(self.proving.seen.volts.box, Qt.Key.Key_Return)

    def keep(self) -> None:
        self.press(Qt.Key.Key_Return)
        self.qtbot.waitUntil(lambda: not self.bay.is_calibrating, timeout=PATIENCE_MS)
        self.settle()


@pytest.fixture
def proof(
    qtbot: QtBot, qapp: QApplication, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Proof]:
    monkeypatch.setattr(devices, "_look", lambda: ())
    qapp.setProperty(hearing._TOLD, True)  # but for the tests about that question
    amplified = "full_scale_v = 2.0\namplifier_gain = 4.0\nmax_terminal"
    chain = CHAIN.replace("full_scale_v = 2.0\nmax_terminal", amplified)
    chain = chain.replace("[ambient]", f"{LINKS}[ambient]") + TRUTH
    made = Proof(qtbot, tmp_path, chain=chain)
    qtbot.addWidget(made.window)
    yield made
    made.window.close()


def test_the_output_is_proved_by_a_typed_voltage(proof: Proof) -> None:
    proof.begin("output")
    assert proof.proving.phase is ProvePhase.READY
    assert "nothing plays yet" in proof.said
    assert [fact.name for fact in proof.proving.seen.live.facts] == ["meter, expected"]
    assert "amplifier stays off" in proof.proving.follows.caution.text()
    assert not proof.bench.run.is_active  # not without a key
    proof.field("seconds", "1")
    proof.press(Qt.Key.Key_Space)
    proof.wait(ProvePhase.READING)
    assert not proof.bench.run.is_sounding
    assert [step.mark for step in proof.proving.seen.steps.checks] == [
        *(Mark.GOOD, Mark.GOOD),
        Mark.BUSY,
        Mark.NONE,
    ]
    proof.read_the_meter()
    proof.wait(ProvePhase.ACCEPTED)
    assert "full scale 2.02" in proof.said
    assert proof.proving.follows.budget.budget.facts[-1].name == "together"
    against = {fact.name: fact.value for fact in proof.proving.follows.against.facts}
    assert float(against["the chain"]) == pytest.approx(1.0, abs=0.1)  # 2.02 over 2.00
    assert not proof.kept
    proof.press(Qt.Key.Key_A)  # another reading counts beside the first
    assert proof.proving.phase is ProvePhase.READY
    proof.press(Qt.Key.Key_Space)
    proof.wait(ProvePhase.READING)
    proof.read_the_meter()
    proof.wait(ProvePhase.ACCEPTED)
    proof.keep()
    proof.qtbot.waitUntil(lambda: "It stands in bench-3.toml" in proof.said, timeout=PATIENCE_MS)
    (record,) = proof.kept
    assert record.accepted
    assert len(record.captures) == 2
    found = record.results[0]
    assert found.value == pytest.approx(TRUE_OUTPUT_V, rel=0.01 * found.budget.expanded)
    chain = load_chain(proof.file).chain
    assert chain.output.drive.full_scale_v == pytest.approx(TRUE_OUTPUT_V, rel=0.002)
    assert proof.bench.undo_stack.undoText() == "calibrate the output"


def test_what_would_be_loud_asks_once_before_it_plays(proof: Proof, qapp: QApplication) -> None:
    qapp.setProperty(hearing._TOLD, False)
    proof.begin("amplifier")
    proof.field("seconds", "1")
    proof.press(Qt.Key.Key_Space)  # 1 V at 92 dB for 2.83 V in 1 m: 89 dB in half of it, by hand
    box = QApplication.activeModalWidget()
    assert isinstance(box, QMessageBox)
    assert box.text() == hearing.IF_JOINED
    assert proof.phase is ProvePhase.READY
    assert not proof.bench.run.is_active
    QTest.keyClick(box, Qt.Key.Key_Escape)
    proof.qtbot.waitUntil(lambda: QApplication.activeModalWidget() is None, timeout=PATIENCE_MS)
    assert proof.phase is ProvePhase.READY
    proof.press(Qt.Key.Key_Space)
    box = QApplication.activeModalWidget()
    assert isinstance(box, QMessageBox)
    QTest.keyClick(box, Qt.Key.Key_Return)
    proof.wait(ProvePhase.READING)
    assert qapp.property(hearing._TOLD)


def test_what_is_quiet_asks_nothing(proof: Proof, qapp: QApplication) -> None:
    qapp.setProperty(hearing._TOLD, False)
    proof.begin("amplifier")
    proof.field("seconds", "1")
    proof.field("peak", "0.01")  # 0.057 V: 64 dB
    proof.press(Qt.Key.Key_Space)
    assert QApplication.activeModalWidget() is None
    proof.wait(ProvePhase.READING)


def test_esc_is_silence_first_then_leaves_and_nothing_changed(proof: Proof) -> None:
    before = proof.file.read_text()
    chain = proof.bench.chain
    proof.begin("output")
    proof.field("seconds", "100")
    proof.press(Qt.Key.Key_Space)
    proof.qtbot.waitUntil(lambda: proof.bench.run.is_sounding, timeout=PATIENCE_MS)
    proof.press(Qt.Key.Key_Escape)
    proof.qtbot.waitUntil(lambda: not proof.bench.run.is_active, timeout=PATIENCE_MS)
    assert proof.proving.phase is ProvePhase.READY
    assert "the output is silent" in proof.said
    proof.press(Qt.Key.Key_Escape)
    assert not proof.bay.is_calibrating
    assert proof.file.read_text() == before
    assert proof.bench.chain is chain
    assert not proof.kept


def test_a_voltage_that_cannot_be_is_refused_kept_as_such_and_changes_nothing(
    proof: Proof,
) -> None:
    proof.begin("output")
    proof.field("seconds", "1")
    proof.press(Qt.Key.Key_Space)
    proof.wait(ProvePhase.READING)
    QTest.keyClicks(proof.proving.seen.volts.box, "x")
    QTest.keyClick(proof.proving.seen.volts.box, Qt.Key.Key_Return)
    assert proof.proving.phase is ProvePhase.READING
    assert proof.proving.seen.volts.refusal
    proof.proving.seen.volts.box.selectAll()
    QTest.keyClicks(proof.proving.seen.volts.box, "0.1")
    QTest.keyClick(proof.proving.seen.volts.box, Qt.Key.Key_Return)
    proof.wait(ProvePhase.REFUSED)
    assert proof.said.startswith("Refused: ")
    assert "Nothing changed" in proof.said
    proof.qtbot.waitUntil(lambda: len(proof.kept) == 1, timeout=PATIENCE_MS)
    assert not proof.kept[0].accepted
    assert proof.bench.chain.chain.output.drive.full_scale_v == 2.0


def test_the_sense_resistor_by_two_known_ones_one_after_the_other(proof: Proof) -> None:
    proof.begin("sense")
    proof.field("ohm_2", "4.7")
    assert "hot" in proof.proving.follows.caution.text()
    for number in (1, 2):
        assert f"{number} of 2" in proof.said
        proof.press(Qt.Key.Key_Space)
        proof.wait(ProvePhase.READY if number == 1 else ProvePhase.ACCEPTED)
    proof.keep()
    (record,) = proof.kept
    found = next(one for one in record.results if one.quantity == "input.sense.resistor_ohm")
    assert found.value == pytest.approx(TRUE_OHM, rel=0.01 * found.budget.expanded)
    assert record.given["ohm_1"] == 8.2
    assert record.given["ohm_2"] == 4.7


def test_the_whole_chain_tells_what_it_can_resolve_and_changes_nothing(proof: Proof) -> None:
    chain = proof.bench.chain
    proof.begin("microphone", key=Qt.Key.Key_N)
    proof.field("plays", "2")
    proof.press(Qt.Key.Key_Space)
    proof.wait(ProvePhase.ACCEPTED)
    names = [fact.name for fact in proof.proving.seen.found.results.facts]
    assert {"delay", "THD", "noise microphone", "hum microphone"} <= set(names)
    assert proof.proving.seen.found.results.facts[0].value.endswith(" ms")
    # Its interval is a fraction of a sample of 21 µs: not read in seconds.
    whole = float(proof.proving.follows.budget.budget.facts[-1].value)
    assert 0.001 < whole < 21
    proof.keep()
    (record,) = proof.kept
    assert record.link == "chain"
    assert len(record.captures) == 2
    assert proof.bench.chain is chain


def test_what_is_typed_wrong_lets_nothing_play(proof: Proof) -> None:
    proof.begin("amplifier")
    proof.field("peak", "7")
    assert proof.phase is ProvePhase.NOT_READY
    assert "Nothing plays" in proof.said
    proof.press(Qt.Key.Key_Space)
    assert not proof.bench.run.is_active
    proof.field("peak", "")
    proof.wait(ProvePhase.READY)
    expected = next(f for f in proof.proving.seen.live.facts if "expected" in f.name)
    assert float(expected.value) == pytest.approx(1.0, rel=0.01)  # quiet, unless said otherwise


def test_a_day_is_checked_by_takes_of_a_reference_unit(proof: Proof) -> None:
    proof.bench.set_specimen(unit="REF-1", lot=None)
    for _ in range(2):
        with proof.qtbot.waitSignal(proof.bench.take_kept, timeout=PATIENCE_MS):
            proof.bench.play()
        proof.qtbot.waitUntil(lambda: not proof.bench.run.is_active, timeout=PATIENCE_MS)
    proof.begin("microphone", key=Qt.Key.Key_N)
    proof.proving.form_panel.way.chosen.emit("reference")
    assert "unit" in proof.proving.form_panel.fields
    proof.field("unit", "REF-1")
    assert "Nothing plays here" in proof.said
    proof.press(Qt.Key.Key_Space)
    proof.wait(ProvePhase.ACCEPTED)
    proof.keep()
    (record,) = proof.kept
    assert record.instrument.name == "reference unit REF-1"
    table = proof.bay.history.table
    proof.qtbot.waitUntil(lambda: table.rows[0].key == record.id, timeout=PATIENCE_MS)
    table.setFocus()
    proof.press(Qt.Key.Key_Home)
    proof.press(Qt.Key.Key_P)  # of the microphone, but no tone was heard: its page needs none
    proof.qtbot.waitUntil(lambda: "Certificate: " in proof.said, timeout=PATIENCE_MS)
    page = proof.file.parent / "certificates" / f"calibration-{record.id[:8]}.pdf"
    assert "reference unit REF-1" in pdf_words(page)
