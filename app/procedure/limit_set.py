"""A limit set as a file: what travels between stations, customers and stores, one TOML file."""

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any

import tomlkit
from pydantic import Field, model_validator

from app.procedure.mask_items import mask_table
from app.procedure.mask_schema import Mask
from hardware.toml_complaint import shown
from hardware.toml_file import read_model
from hardware.toml_model import Count, Day, FileModel, refusal
from hardware.whole_text import write_text

FORMAT = 1  # grows when an older version could no longer read what is written


class LimitSet(FileModel):
    """A limit-set file, whole; ``[masks.NAME]`` tables alone are enough."""

    format: Count = Field(
        FORMAT, description=f"version of this form of file; {FORMAT} is the newest"
    )
    name: str = Field("", description="what people call this set")
    revision: Count | None = Field(
        None, description="its number in the store that it was written from; left out: a draft"
    )
    procedure: str = Field("", description="name of the procedure that it is for; left out: any")
    by: str = Field("", description="who drew it")
    why: str = Field("", description="for what reason")
    date: Day | None = Field(None, description="day on which that was signed")
    masks: Annotated[dict[str, Mask], Field(min_length=1)] = Field(
        description="limits, each under a name of its own"
    )

    @model_validator(mode="before")
    @classmethod
    def _of_a_known_format(cls, content: Any) -> Any:
        # Before all else: what a newer version wrote may have keys that nobody here knows.
        found = content.get("format") if isinstance(content, Mapping) else None
        if isinstance(found, int) and found > FORMAT:
            raise refusal(
                "format",
                "written by a newer Dustcap",
                given=shown(found),
                allowed=f"up to {FORMAT}",
            )
        return content


def load_limit_set(path: Path) -> LimitSet:
    """Read a limit-set file.

    Raises
    ------
    FileError
        Names file, line, key, what is wrong, what was given and what is allowed.
    """
    return read_model(path, LimitSet)


def save_limit_set(limit_set: LimitSet, path: Path) -> None:
    """Write a limit-set file, replacing what is there in one step.

    Raises
    ------
    FileError
        The disk did not take it.
    """
    write_text(path, limit_set_text(limit_set))


def limit_set_text(limit_set: LimitSet) -> str:
    """Return the text of a limit-set file that reads back as ``limit_set``."""
    document = tomlkit.document()
    document.add("format", tomlkit.item(limit_set.format))
    for key, field in LimitSet.model_fields.items():
        value = getattr(limit_set, key)
        if key not in {"format", "masks"} and value != field.default:
            document.add(key, tomlkit.item(value))
    masks = tomlkit.table(is_super_table=True)
    for name, mask in limit_set.masks.items():
        masks.add(name, mask_table(mask))
    document.add("masks", masks)
    return tomlkit.dumps(document)
