"""Masks made from what is not TOML, held to the same rules, with the same one line."""

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from app.procedure.limit_set import LimitSet
from app.procedure.mask_schema import Mask
from hardware.errors import FileError
from hardware.toml_complaint import complaints, dotted


def masks_checked(masks: Mapping[str, Mapping[str, Any]], *, source: str) -> dict[str, Mask]:
    """Make masks from their keys.

    Parameters
    ----------
    masks : mapping of str to mapping
        Keys of each mask, by its name.
    source : str
        What messages call the place that they are from.

    Raises
    ------
    FileError
        What is wrong with the first that cannot stand.
    """
    try:
        return LimitSet.model_validate({"masks": masks}).masks
    except ValidationError as error:
        found = complaints(error.errors(include_url=False), root=LimitSet.model_json_schema())
        first = found[0]
        raise FileError(
            source,
            first.what,
            key=dotted(first.place),
            given=first.given,
            allowed=first.allowed,
            more=len(found) - 1,
        ) from error
