"""A mask that wasn't there: limits about what the stored units do, to begin with."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from app.errors import BadInputError
from app.measure.held import held
from app.measure.proposal import counted, proposed
from app.measure.rejudge import MaskTrial, rejudge
from app.measure.trial import Trial, load_trial
from app.measure.wish import Wish
from app.procedure.edit_masks import EditRefusedError
from app.procedure.mask_schema import Mask
from app.procedure.names import CURVES, NUMBERS
from app.records.store import Store

Sides = Literal["both", "upper", "lower"]
_FAR = 1e9  # a limit that holds everything
_ENOUGH = 5  # units whose spread says something
_DECIBELS, _SHARE = 3.0, 0.1  # about one take where there are fewer


@dataclass(frozen=True, slots=True, kw_only=True)
class NewMask:
    """What a person asks for.

    Attributes
    ----------
    quantity : str
        A curve or a number.
    sides : "both", "upper" or "lower"
        Which limits it has.
    relative, align : bool
        Whether it counts from the reference take, and whether the level is taken out.
    step : float
        Limits are rounded to it, outward.
    """

    quantity: str
    sides: Sides
    relative: bool = False
    align: bool = False
    step: float = 0.1


def measured(store: Store, trial: Trial) -> tuple[str, ...]:
    """Return the quantities that the newest unit of a trial has, curves first."""
    if not trial.size:
        return ()
    try:
        take = store.take(trial.units[0].take_id)
    except BadInputError:  # written by a version that this one does not understand
        return ()
    curves = [name for name in CURVES if name in take.curves]
    numbers = [name for name in NUMBERS if name in take.numbers and take.numbers[name].trusted]
    return (*curves, *numbers)


def new_mask(store: Store, *, procedure: str, asked: NewMask) -> Mask:
    """Make a mask that all units but unusual ones conform to.

    Parameters
    ----------
    store : Store
        Where the units are.
    procedure : str
        Its name.
    asked : NewMask
        What for.

    Returns
    -------
    Mask at four standard deviations of at least five units that were not found bad; about the
    newest take where there are fewer, 3 dB or a tenth away.

    Raises
    ------
    EditRefusedError
        No unit has that quantity.
    """
    trial = load_trial(store, name=procedure, quantities={asked.quantity})
    if not trial.size:
        raise EditRefusedError("", "no unit has been measured yet")
    result = rejudge(trial, masks={"": _wide(asked)}).masks[""]
    if counted(trial) >= _ENOUGH:
        return proposed(trial, result, wish=Wish(way="sigma", step=asked.step)).mask
    away = _distance(trial, result)
    return proposed(
        trial, result, wish=Wish(way="take", above=away, below=away, step=asked.step)
    ).mask


def _wide(asked: NewMask) -> Mask:
    is_curve = asked.quantity in CURVES
    limits = {
        side: ((20.0, sign * _FAR), (20_000.0, sign * _FAR)) if is_curve else sign * _FAR
        for side, sign in (("upper", 1.0), ("lower", -1.0))
        if asked.sides in {"both", side}
    }
    return Mask.model_validate(
        {
            "quantity": asked.quantity,
            **limits,
            "relative_to": "reference" if asked.relative else None,
            "align": "level" if asked.align and is_curve else None,
        }
    )


def _distance(trial: Trial, result: MaskTrial) -> float:
    quantity = result.mask.quantity
    if {**CURVES, **NUMBERS}[quantity].startswith("dB"):
        return _DECIBELS
    if quantity in NUMBERS:
        number = trial.numbers[quantity][0]
        return _SHARE * abs(number.value) if number is not None else 0.0
    those = held(trial, result)
    value = those.of_unit(0) if those is not None else None
    return 0.0 if value is None else _SHARE * float(np.nanmedian(np.abs(value)))
