"""A mask made from stored units holds them; without units there is none."""

from pathlib import Path

import pytest

from app.measure.new_mask import NewMask, measured, new_mask
from app.measure.rejudge import rejudge
from app.procedure.edit_masks import EditRefusedError
from app.records.store import Store
from tests.app.measure.trial_store import PROCEDURE, keep, trial_of, twenty_units, unit_take


@pytest.mark.parametrize("sides", ["both", "upper", "lower"])
@pytest.mark.parametrize("quantity", ["level", "fs_hz"])
def test_a_new_mask_holds_the_units_on_the_sides_asked_for(
    tmp_path: Path, quantity: str, sides: str
) -> None:
    with twenty_units(tmp_path) as store:
        asked = NewMask(quantity=quantity, sides=sides)  # type: ignore[arg-type]  # as parametrised
        mask = new_mask(store, procedure="line-check", asked=asked)
        assert (mask.upper is not None, mask.lower is not None) == (
            sides != "lower",
            sides != "upper",
        )
        procedure = PROCEDURE.model_copy(update={"masks": {"new": mask}})
        found = rejudge(trial_of(store, procedure), masks=procedure.masks)
        # fs of unit 20 is unusual, and was left out because it was found bad.
        assert found.fails.sum() == (quantity == "fs_hz" and sides != "lower")


def test_one_unit_is_enough_to_begin_with(tmp_path: Path) -> None:
    with Store.open(tmp_path / "r.sqlite") as store:
        keep(store, unit_take(1, offset=1.0), number=1)
        asked = NewMask(quantity="level", sides="both")
        mask = new_mask(store, procedure="line-check", asked=asked)
        assert isinstance(mask.upper, tuple)
        assert {value for _, value in mask.upper} == {4.0}


def test_without_a_unit_there_is_nothing_to_begin_with(tmp_path: Path) -> None:
    with Store.open(tmp_path / "r.sqlite") as store:
        with pytest.raises(EditRefusedError, match="no unit has been measured yet"):
            new_mask(store, procedure="p", asked=NewMask(quantity="level", sides="both"))
        assert measured(store, trial_of(store, PROCEDURE)) == ()


def test_what_can_have_a_mask_is_what_was_measured(tmp_path: Path) -> None:
    with twenty_units(tmp_path) as store:
        assert measured(store, trial_of(store, PROCEDURE)) == ("level", "fs_hz")


def test_a_relative_mask_lies_about_nothing(tmp_path: Path) -> None:
    with twenty_units(tmp_path) as store:
        store.set_reference(store.find(serial="T4-W31-0010")[0].id, by="QC", why="golden")
        asked = NewMask(quantity="level", sides="both", relative=True, align=True)
        mask = new_mask(store, procedure="line-check", asked=asked)
        assert (mask.relative_to, mask.align) == ("reference", "level")
        # Made-up units differ by level alone: nothing is left once that is taken out.
        assert isinstance(mask.upper, tuple)
        assert all(abs(value) <= 0.1 for _, value in mask.upper)
