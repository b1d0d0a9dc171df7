"""The window from the command line: where it cannot open, one line says why."""

import pytest

from app.cli.entry import main
from app.desktop import screen

FAILED = 3


@pytest.fixture
def no_platform(monkeypatch: pytest.MonkeyPatch) -> pytest.MonkeyPatch:
    for name in ("QT_QPA_PLATFORM", "WAYLAND_DISPLAY", "DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr("sys.platform", "linux")
    return monkeypatch


def one_line(capsys: pytest.CaptureFixture[str]) -> str:
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    return said.err


@pytest.mark.usefixtures("no_platform")
def test_without_a_screen_it_says_so_and_is_exit_3(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["desktop"]) == FAILED
    assert one_line(capsys) == "dustcap: no window: there is no screen here (DISPLAY is not set)\n"


def test_a_screen_that_does_not_answer_is_named(
    no_platform: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    no_platform.setenv("DISPLAY", ":4711")
    assert main(["desktop"]) == FAILED
    assert "no window: " in one_line(capsys)


def test_a_missing_library_is_named(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    missing = "no window: a library is missing on this system: libEGL.so.1"
    monkeypatch.setattr(screen, "why_no_window", lambda: missing)
    assert main(["desktop"]) == FAILED
    assert one_line(capsys) == f"dustcap: {missing}\n"


@pytest.mark.usefixtures("no_platform")
def test_dustcap_alone_prints_help_where_nobody_would_see_a_window(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main([]) == 0
    assert "desktop" in capsys.readouterr().out


def test_a_platform_that_paints_into_memory_is_not_a_screen(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    assert not screen.has_screen()
    assert screen.why_no_window() is None  # but it may be asked for


def test_a_chain_file_that_is_not_there_is_refused_before_anything_opens(
    qapp: object,  # noqa: ARG001
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    assert main(["desktop", "--chain", "nowhere.toml"]) == 2
    assert "nowhere.toml" in one_line(capsys)
