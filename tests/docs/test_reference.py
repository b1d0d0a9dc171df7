"""The reference pages say what the schemas check: they are written from them, and in step."""

import re
import runpy
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pydantic import BaseModel

from app.procedure.schema import Procedure
from hardware.chain.schema import Chain
from hardware.toml_model import FileModel

FOLDER = Path(__file__).resolve().parents[2] / "docs" / "reference"
PAGES = runpy.run_path(str(FOLDER / "make_reference.py"))["pages"]()


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_in_step_with_the_schema(name: str) -> None:
    assert (FOLDER / name).read_text(encoding="utf-8") == PAGES[name]


def models(kind: Any) -> Iterator[type[FileModel]]:
    """Every model that a file of this kind may hold, itself included."""
    if isinstance(kind, type) and issubclass(kind, FileModel):
        yield kind
        for field in kind.model_fields.values():
            yield from models(field.annotation)
    for inner in getattr(kind, "__args__", ()):
        yield from models(inner)


@pytest.mark.parametrize(
    ("model", "name"), [(Chain, "chain-file.md"), (Procedure, "procedure-file.md")]
)
def test_every_key_stands_there_and_is_explained(model: type[BaseModel], name: str) -> None:
    found = set(models(model))
    assert len(found) > 10
    for one in found:
        for key, field in one.model_fields.items():
            assert key == "kind" or field.description, f"{one.__name__}.{key} is not explained"
            row, heading = f"| `{key}` |", re.compile(rf"^## `\[+(\w+\.)*{key}[\].]", re.MULTILINE)
            assert row in PAGES[name] or heading.search(PAGES[name]), f"{one.__name__}.{key}"
