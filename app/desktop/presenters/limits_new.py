"""What a new mask can be about, and what it is called."""

from collections.abc import Collection, Sequence
from typing import cast

from app.desktop.presenters.limits_figures import mask_title, step_of
from app.measure.new_mask import NewMask, Sides
from app.procedure.edit_masks import EditRefusedError
from app.procedure.names import NUMBERS

SIDES: tuple[tuple[Sides, str], ...] = (
    ("both", "upper and lower"),
    ("upper", "upper"),
    ("lower", "lower"),
)
FROM = (
    ("", "nothing: absolute"),
    ("relative", "the reference unit"),
    ("aligned", "the reference unit, level-aligned"),
)
_ONLY_UPPER = {"thd", "high_order", "noise", "impulse_count"}


def quantity_options(measured: Sequence[str]) -> list[tuple[str, str]]:
    """Return the quantities that can have a mask, with their titles."""
    return [(name, mask_title(name)) for name in measured]


def usual_sides(quantity: str) -> Sides:
    """Return the limits that such a mask usually has."""
    only = quantity in _ONLY_UPPER or (quantity.startswith("h") and quantity[1:].isdigit())
    return "upper" if only else "both"


def free_name(quantity: str, *, taken: Collection[str]) -> str:
    """Return a name for a mask: its quantity's, with a number where that is taken."""
    number, name = 1, quantity
    while name in taken:
        number += 1
        name = f"{quantity}_{number}"
    return name


def asked_for(quantity: str, *, sides: str, counts_from: str) -> NewMask:
    """Return what the panel asks for, by the keys of its choices."""
    return NewMask(
        quantity=quantity,
        sides=cast("Sides", sides),
        relative=bool(counts_from),
        align=counts_from == "aligned" and quantity not in NUMBERS,
        step=step_of(quantity),
    )


def checked_name(name: str, *, taken: Collection[str]) -> str:
    """Return a name that a mask can have.

    Raises
    ------
    EditRefusedError
        Empty, or another mask's.
    """
    plain = name.strip()
    if not plain:
        raise EditRefusedError("name", "missing", allowed="a word or two")
    if plain in taken:
        raise EditRefusedError("name", "there is such a mask", given=plain)
    return plain
