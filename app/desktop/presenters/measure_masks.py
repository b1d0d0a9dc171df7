"""Masks of a procedure as they stand on a plot: where the take was held against them."""

import math
from collections.abc import Mapping, Sequence

from app.desktop.plots.mask import PlotMask
from app.procedure.schema import Mask
from app.records.take import Take
from dsp.conformity.drawn_limits import drawn_limits
from dsp.conformity.mask import MaskLines
from dsp.distortion.in_decibels import percent_in_decibels


def plot_masks(
    masks: Mapping[str, Mask],
    *,
    quantities: Sequence[str],
    take: Take | None,
    reference: Take | None,
    broken_by: Mapping[str, tuple[str, ...]],
) -> tuple[PlotMask, ...]:
    """Draw the masks of some quantities on their own axis.

    Parameters
    ----------
    masks : mapping of str to Mask
        Of the take's procedure; of the one on the bench where there is no take.
    quantities : sequence of str
        Curves of the plot.
    take, reference : Take or None
        What is judged, and what relative masks count from.
    broken_by : mapping of str to names
        By quantity: names of the plot's lines that are held against its masks.

    Returns
    -------
    tuple of PlotMask; a mask whose place is not known yet is left out.
    """
    drawn: list[PlotMask] = []
    for name, mask in masks.items():
        if mask.quantity in quantities:
            drawn += _one(name, mask, take=take, reference=reference, broken_by=broken_by)
    return tuple(drawn)


def relative_masks(masks: Mapping[str, Mask], *, quantities: Sequence[str]) -> tuple[PlotMask, ...]:
    """Draw the masks that count from the reference, on an axis of differences."""
    return tuple(
        PlotMask(name=name, sense=limit.side, hz=limit.frequency_hz, values=limit.value)
        for name, mask in masks.items()
        if mask.quantity in quantities and mask.relative_to and not mask.align
        for limit in drawn_limits(MaskLines(upper=mask.upper, lower=mask.lower))
    )


def _one(
    name: str,
    mask: Mask,
    *,
    take: Take | None,
    reference: Take | None,
    broken_by: Mapping[str, tuple[str, ...]],
) -> list[PlotMask]:
    twin = reference.curves.get(mask.quantity) if reference and mask.relative_to else None
    if mask.relative_to and twin is None:
        return []
    result = take.masks.get(name) if take else None
    # What was not judged at all is not shown as broken either.
    is_judged = result is None or math.isfinite(result.margin)
    percent = mask.quantity in {"thd", "high_order"}
    limits = drawn_limits(
        MaskLines(upper=mask.upper, lower=mask.lower),
        curve=take.curves.get(mask.quantity) if take else None,
        reference=twin,
        align=mask.align == "level",
        align_band_hz=mask.align_band_hz,
        fine=percent,
    )
    return [
        PlotMask(
            name=name,
            sense=limit.side,
            hz=limit.frequency_hz,
            values=percent_in_decibels(limit.value) if percent else limit.value,
            broken_by=broken_by.get(mask.quantity) if is_judged else (),
        )
        for limit in limits
        if not (percent and limit.side == "lower")  # 0 % has no place on a scale of decibels
    ]
