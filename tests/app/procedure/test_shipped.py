"""What ships loads, is found by name, and is explained."""

from pathlib import Path

import pytest

from app.errors import BadInputError
from app.procedure.shipped import demo_chain, find_procedure, shipped
from hardware.chain.stale import stale_links
from hardware.errors import FileError
from tests.app.procedure.procedure_text import PROCEDURE


@pytest.mark.parametrize("name", shipped())
def test_a_shipped_procedure_is_found_by_its_name(name: str) -> None:
    assert find_procedure(name).procedure.name == name.replace("-", " ")


def test_every_procedure_in_the_folder_is_listed() -> None:
    (folder,) = {path.parent for path in shipped().values()}
    others = {"virtual-bench.toml", "signatures.toml"}
    listed = {path.name for path in shipped().values()} | others
    assert {path.name for path in folder.glob("*.toml")} == listed


def test_the_line_check_takes_about_a_second_and_judges() -> None:
    procedure = find_procedure("line-check").procedure
    assert procedure.excitation.kind == "log_sweep"
    assert procedure.excitation.duration_s == 1.0
    assert procedure.masks


def test_a_file_of_ones_own_comes_before_a_shipped_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("line-check").write_text(PROCEDURE)
    assert find_procedure("line-check").procedure.name == "p"


def test_neither_a_file_nor_a_name_is_told_with_what_there_is() -> None:
    with pytest.raises(BadInputError) as caught:
        find_procedure("line-chek")
    assert str(caught.value) == (
        "procedure: neither a file nor one that ships: given line-chek, "
        "allowed a path, or line-check, line-defects, baffle-sweep, baffle-stepped, impedance"
    )
    with pytest.raises(FileError, match=r"^nowhere/p\.toml: no such file$"):
        find_procedure("nowhere/p.toml")


def test_the_demo_bench_is_in_software_and_never_stale() -> None:
    chain = demo_chain().chain
    assert chain.device.backend == "virtual"
    made = chain.output.drive.calibrated_on
    assert made is not None
    assert stale_links(chain, on=made.replace(year=made.year + 50)) == ()
