"""The way in: the window alone needs nothing that reads a command line, and is seen sooner."""

import sys


def main(arguments: list[str] | None = None) -> int:
    """Open the window where nothing more was asked and somebody would see it; else run a command.

    Returns
    -------
    int, the exit code.
    """
    given = sys.argv[1:] if arguments is None else arguments
    if _is_for_window(given):
        from app.desktop.start import run_desktop

        return run_desktop(store=None, chain=None, procedure=None)
    from app.cli.main import main as run_command

    return run_command(arguments)


def _is_for_window(given: list[str]) -> bool:
    from app.desktop.screen import has_screen, why_no_window

    if given == ["desktop"]:
        return why_no_window() is None
    return not given and has_screen()
