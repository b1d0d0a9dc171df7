"""A chain goes back into its file with what was changed; what a person wrote around it stays."""

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hardware.chain.edit import (
    Draft,
    moved,
    on_card,
    on_rig,
    with_chain_values,
    with_draft,
    with_response,
    without_input,
)
from hardware.chain.load import load_chain
from hardware.chain.save import save_chain, save_new_chain, with_chain
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot
from hardware.chain.virtual_schema import Virtual
from hardware.errors import FileError, ValueRefusedError
from hardware.toml_edit import value_at
from hardware.toml_file import read_model_text

if TYPE_CHECKING:
    from hardware.toml_lines import Place

DEMO = Path("demo_data")
BENCH = DEMO / "bench-2-soundcard.toml"
FILES = sorted(DEMO.glob("bench-*.toml"))


def saved(snapshot: ChainSnapshot, *, text: str) -> str:
    return with_chain(text, chain=snapshot.chain, name="chain.toml")


def bench() -> ChainSnapshot:
    return load_chain(BENCH)


def changed_lines(before: str, after: str) -> tuple[set[str], set[str]]:
    old, new = before.splitlines(), after.splitlines()
    return set(old) - set(new), set(new) - set(old)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_what_was_not_changed_is_written_as_it_was(path: Path) -> None:
    text = path.read_text()
    assert saved(load_chain(path), text=text) == text


def test_a_changed_value_keeps_its_comment_and_every_other_line() -> None:
    text = BENCH.read_text()
    place: Place = ("input", "pressure", "sensitivity_v_per_pa")
    after = saved(with_chain_values(bench(), {place: 0.0126}), text=text)
    gone, new = changed_lines(text, after)
    comment = "# from the pistonphone, corrected for the day's pressure"
    assert gone == {f"sensitivity_v_per_pa = 0.0127    {comment}"}
    assert new == {f"sensitivity_v_per_pa = 0.0126    {comment}"}


def test_keys_and_tables_come_and_go(tmp_path: Path) -> None:
    path = tmp_path / "chain.toml"
    path.write_text(BENCH.read_text())
    (tmp_path / "microphone-0117.csv").write_text((DEMO / "microphone-0117.csv").read_text())
    before = load_chain(path)
    wired = with_draft(before, Draft(name="terminal", values={"channel": 4, "full_scale_v": 20.0}))
    assert isinstance(wired, ChainSnapshot)
    after = without_input(wired, "loopback")
    after = with_chain_values(
        after,
        {
            ("device", "block"): 256,
            ("input", "sense", "calibrated_on"): date(2026, 11, 26),
            ("input", "sense", "recalibrate_after_days"): None,
        },
    )
    save_chain(path, after.chain, opened=before.chain)
    assert load_chain(path) == after
    text = path.read_text()
    assert "[input.loopback]" not in text
    assert "[input.terminal]" in text
    assert "block = 256" in text
    assert "# Wire with the power off." in text


def test_a_file_that_changed_meanwhile_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "chain.toml"
    text = FILES[0].read_text()
    path.write_text(text)
    opened = load_chain(path)
    path.write_text(text.replace("seed = 417", "seed = 418"))
    theirs = path.read_text()
    assert theirs != text
    after = with_chain_values(opened, {("name",): "mine"})
    with pytest.raises(FileError, match="changed since it was opened: allowed open it again"):
        save_chain(path, after.chain, opened=opened.chain)
    assert path.read_text() == theirs


def test_a_chain_without_a_file_gets_one_that_reads_back(tmp_path: Path) -> None:
    for path in FILES:
        chain = load_chain(path).chain
        save_new_chain(tmp_path / "new.toml", chain)
        text = (tmp_path / "new.toml").read_text()
        assert read_model_text(text, name="new.toml", model=Chain) == chain
        assert "[input]\n" not in text


def test_a_table_written_in_one_line_can_be_changed_too() -> None:
    text = (
        'name = "x"\ndevice = {backend = "virtual"}\n'
        "output.drive = {channel = 1, full_scale_v = 2.0, max_terminal_v_rms = 6.0}\n"
        "[input]\nsense = {channel = 2, full_scale_v = 1.0, resistor_ohm = 0.2}  # shunt\n"
    )
    snapshot = ChainSnapshot(chain=read_model_text(text, name="x", model=Chain))
    after = with_chain_values(snapshot, {("input", "sense", "resistor_ohm"): 0.22})
    assert "resistor_ohm = 0.22}  # shunt" in saved(after, text=text)


@given(
    sensitivity=st.floats(1e-4, 1.0),
    gain=st.floats(0.1, 1e3),
    days=st.none() | st.integers(1, 36_500),
    humidity=st.floats(0, 100),
)
def test_whatever_is_typed_reads_back_bit_for_bit(
    sensitivity: float, gain: float, days: int | None, humidity: float
) -> None:
    after = with_chain_values(
        bench(),
        {
            ("input", "pressure", "sensitivity_v_per_pa"): sensitivity,
            ("input", "pressure", "preamplifier_gain"): gain,
            ("input", "pressure", "recalibrate_after_days"): days,
            ("ambient", "humidity_percent"): humidity,
        },
    )
    text = saved(after, text=BENCH.read_text())
    assert read_model_text(text, name="x", model=Chain) == after.chain


def test_from_card_to_rig_and_back_nothing_stays_behind() -> None:
    text = BENCH.read_text()
    rig = on_rig(bench(), Virtual(unit="T130", seed=3))
    assert rig.chain.virtual == Virtual(unit="T130", seed=3)
    on_rig_text = saved(rig, text=text)
    card = on_card(rig, name="Bench card A", host_api="ALSA")
    assert card.chain.virtual is None
    back = read_model_text(saved(card, text=on_rig_text), name="x", model=Chain)
    assert back == card.chain
    two = on_card(card, output_name="A", input_name="B")
    assert (two.chain.device.name, two.chain.device.host_api) == (None, None)
    with pytest.raises(ValueRefusedError, match="missing"):
        on_card(card, output_name="A")


def test_an_input_is_wired_when_all_is_said_that_it_needs() -> None:
    plain = without_input(bench(), "sense")
    draft = with_draft(plain, Draft(name="sense", values={"channel": 2}))
    assert isinstance(draft, Draft)
    assert draft.missing == "full_scale_v"
    draft = with_draft(plain, Draft(name="sense", values={"channel": 2, "full_scale_v": 2.2}))
    assert isinstance(draft, Draft)
    assert draft.missing == "resistor_ohm"
    values = {"channel": 2, "full_scale_v": 2.2, "resistor_ohm": 0.1}
    whole = with_draft(plain, Draft(name="sense", values=values))
    assert isinstance(whole, ChainSnapshot)
    with pytest.raises(ValueRefusedError, match=r"already taken by input\.pressure: given 1"):
        with_draft(plain, Draft(name="sense", values={**values, "channel": 1}))
    with pytest.raises(ValueRefusedError, match="not positive"):
        with_draft(plain, Draft(name="sense", values={"channel": 2, "full_scale_v": -1.0}))


def test_something_to_measure_with_remains() -> None:
    deaf = without_input(bench(), "pressure")
    assert deaf.response is None
    with pytest.raises(ValueRefusedError, match="nothing to measure with"):
        without_input(deaf, "sense")


def test_a_response_comes_with_its_table_or_is_refused(tmp_path: Path) -> None:
    plain = with_response(bench(), None, folder=DEMO)
    assert plain.response is None
    assert value_at(plain.chain, ("input", "pressure", "response")) is None
    back = with_response(plain, Path("microphone-0117.csv"), folder=DEMO)
    assert back == bench()
    with pytest.raises(ValueRefusedError, match=r"no such file: given other\.csv"):
        with_response(plain, Path("other.csv"), folder=DEMO)
    (tmp_path / "bad.csv").write_text("20,0\n10,0\n")
    with pytest.raises(ValueRefusedError, match="line 2"):
        with_response(plain, Path("bad.csv"), folder=tmp_path)


def test_in_another_folder_the_table_is_still_found(tmp_path: Path) -> None:
    chain = moved(bench().chain, old=DEMO, new=tmp_path)
    save_new_chain(tmp_path / "chain.toml", chain)
    assert load_chain(tmp_path / "chain.toml").response == bench().response
    assert moved(bench().chain, old=DEMO, new=DEMO) == bench().chain
