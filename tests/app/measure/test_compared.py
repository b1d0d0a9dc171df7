"""Where good units come from: the store's own takes, its reference, or nowhere."""

from dataclasses import replace
from pathlib import Path

from app.measure.compared import Compared, compared_with
from app.measure.likes import FEW
from app.procedure.signatures import FILE
from app.records.store import Store
from dsp.conformity.verdict import Verdict
from tests.app.desktop.records.line_store import fill_line, rig_take


def compared(store: Store | None, *, lot: str | None = None, unit: str | None = None) -> Compared:
    take, _ = rig_take()
    return compared_with(
        store, procedure=take.procedure.name, chain=take.chain.chain, lot=lot, unit=unit
    )


def test_good_units_of_the_lot_are_enough_from_ten_on(tmp_path: Path) -> None:
    with Store.open(tmp_path / "s.sqlite") as store:
        takes = fill_line(store, lots=2, units=16)
        lot = takes[0].lot
        good = [t for t in takes if t.verdict is Verdict.CONFORMS]
        of_lot = [t for t in good if t.lot == lot]
        assert len(of_lot) >= FEW
        assert compared(store, lot=lot).usuals.told == f"{len(of_lot)} good units of lot {lot}"
        # A unit is not compared with itself, nor with one that inspection found bad.
        own = compared(store, lot=lot, unit=of_lot[0].unit)
        assert own.usuals.told == f"{len(of_lot) - 1} good units of lot {lot}"
        bad = of_lot[1].unit
        assert bad is not None
        store.mark_unit(bad, "bad", by="inspection", why="buzz")
        assert compared(store).usuals.told == f"{len(good) - 1} good units"
        # Lots of which little is known are compared with everybody.
        assert compared(store, lot="T4-W99").usuals.told == f"{len(good) - 1} good units"


def test_without_good_units_the_reference_take_stands_for_them(tmp_path: Path) -> None:
    take, capture = rig_take()
    with Store.open(tmp_path / "s.sqlite") as store:
        assert not compared(store).usuals.traits
        undecided = replace(take, verdict=Verdict.NOT_DECIDED)
        store.keep(undecided, capture=capture)
        store.set_reference(undecided.id, by="engineer", why="golden unit")
        told = compared(store).usuals
        assert (told.told, told.traits["stiffness"].units) == ("the reference take", 1)


def test_without_a_store_the_nominal_impedance_still_tells_a_short() -> None:
    alone = compared(None).usuals
    assert not alone.traits
    assert set(alone.signs) == {"no current", "short circuit"}


def test_a_broken_file_beside_the_store_is_told_and_costs_no_take(tmp_path: Path) -> None:
    (tmp_path / FILE).write_text("[causes]\n")
    with Store.open(tmp_path / "s.sqlite") as store:
        found = compared(store)
    assert found.signatures.causes
    (warning,) = found.warnings
    assert warning.startswith("findings by the signatures that ship: ")
    assert FILE in warning
