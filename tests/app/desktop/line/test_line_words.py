"""The row says which limits are in force, and what Enter does now."""

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.line_export import exported, not_exported, take_folder
from app.desktop.presenters.line_panel import PanelState, stopped_panel, waiting_panel
from app.desktop.presenters.line_words import line_words
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.measure_stale import StaleLink, stale_on
from app.desktop.run_state import RunState
from app.errors import BadInputError
from app.measure.events import State
from app.measure.in_force import InForce
from app.procedure.procedure_limits import with_revision
from app.procedure.schema import Procedure
from app.records.limit_revisions import LimitRevision
from tests.app.desktop.measure import made

PROCEDURE = made.good().take.procedure
APPROVED = LimitRevision(
    set_name="T4 line",
    number=7,
    masks=PROCEDURE.masks,
    sha256="0" * 64,
    by="QC lead",
    why="new cone",
    at_utc=datetime(2026, 6, 11, tzinfo=UTC),
    state="approved",
    approved_by="QA",
    approved_why="seen on the lot",
    approved_utc=datetime(2026, 6, 12, 12, tzinfo=UTC),
)
LIMITS = InForce(
    limit_set="T4 line", revisions=(APPROVED,), approved=APPROVED, masks=APPROVED.masks
)
RUNS = with_revision(PROCEDURE, PROCEDURE.masks, limit_set="T4 line", revision=7)


def words(
    panel: PanelState,
    *,
    procedure: Procedure = RUNS,
    limits: InForce | None = LIMITS,
    run: RunState | None = None,
    typed: str = "",
    card_lost: bool = False,
    stale: StaleLink | None = None,
    masks: bool = True,
) -> BayWords:
    return line_words(
        panel,
        procedure=procedure if masks else procedure.model_copy(update={"masks": {}}),
        limits=limits,
        run=run or RunState(),
        typed=typed,
        card_lost=card_lost,
        stale=stale,
    )


def test_the_limits_in_force_are_named() -> None:
    said = words(waiting_panel())
    assert said.happened == (
        "Procedure line check, limits T4 line, revision 7, 6 masks; approved 2026-06-12 by QA."
    )
    assert not said.enabled
    assert said.key == "Enter"


def test_without_masks_it_says_that_nothing_is_judged_and_where_masks_come_from() -> None:
    said = words(waiting_panel(), masks=False)
    assert said.happened == "Procedure line check has no mask: units are measured, none is judged."
    assert (said.action, said.mark) == ("bay.limits", Mark.NONE)
    assert "Ctrl O" in said.next
    assert words(waiting_panel(), masks=False, typed="0417").action == "line.measure"


def test_limits_that_nobody_approved_are_called_so() -> None:
    none = replace(LIMITS, revisions=(), approved=None)
    said = words(waiting_panel(), procedure=PROCEDURE, limits=none)
    assert said.happened == "Procedure line check, 6 masks of its own; nobody has approved them."
    assert said.mark is None


def test_a_newer_approval_than_what_runs_is_a_caution() -> None:
    newer = replace(LIMITS, approved=replace(APPROVED, number=8))
    said = words(waiting_panel(), limits=newer, typed="0419")
    assert said.mark is Mark.CAUTION
    assert "but revision 8 is what was approved 2026-06-12 by QA" in said.happened
    assert said.enabled  # it is a caution, no refusal


def test_enter_measures_what_was_typed_or_the_same_unit_again() -> None:
    assert words(waiting_panel(), typed="0419").enabled
    again = words(stopped_panel(RunState(phase=State.STOPPED, unit="T4-W31-0419")))
    assert again.enabled
    assert "nothing has to be scanned" in again.next


def test_while_it_plays_the_bar_follows_and_esc_is_named() -> None:
    run = RunState(phase=State.PLAYING, number=44, unit="T4-W31-0419", played_s=0.5, whole_s=1.0)
    said = words(waiting_panel(), run=run)
    assert said.progress == 0.5
    assert "Esc" in said.next
    assert not said.enabled
    silent = words(waiting_panel(), run=RunState(phase=State.DERIVING, number=44))
    assert silent.progress == 1.0
    assert "silent" in silent.next


def test_a_lost_card_offers_to_look_again() -> None:
    said = words(waiting_panel(), card_lost=True)
    assert (said.action, said.mark) == ("look_again", Mark.BAD)


def test_a_stale_chain_is_told_before_the_limits() -> None:
    chain = made.stale().take.chain.chain
    link = stale_on(chain, on=date(2026, 7, 29))[0]
    said = words(waiting_panel(), typed="0419", stale=link)
    assert said.mark is Mark.STALE
    assert said.happened.startswith("The microphone is ")
    assert not said.enabled


def test_a_serial_never_leads_out_of_the_export_folder(tmp_path: Path) -> None:
    for serial in ("../../etc", "a/b", "", "CON:", "T4-W31-0417"):
        take = replace(made.good().take, unit=serial or None)
        place = take_folder(take, folder=tmp_path)
        assert place.parent == tmp_path
    assert place.name.startswith("T4-W31-0417-")


def test_exports_say_how_they_went(tmp_path: Path) -> None:
    assert exported(tmp_path / "a", files=4) == f"4 files written to a in {tmp_path}."
    refused = not_exported(BadInputError("export", "disk full"))
    assert refused.startswith("Not exported: export: disk full")
    assert refused.endswith("The take is in the store.")
