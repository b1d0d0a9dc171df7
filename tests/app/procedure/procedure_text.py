"""A procedure file as short as it may be, for tests that spoil it."""

PROCEDURE = """name = "p"
[excitation]
kind = "log_sweep"
level_v_rms = 2.83
"""


def with_excitation(lines: str) -> str:
    """A procedure whose excitation has just these lines; the first is line 3."""
    return f'name = "p"\n[excitation]\n{lines}\n'


def with_mask(lines: str) -> str:
    """A procedure with one mask of just these lines; the first is line 6."""
    return f"{PROCEDURE}[masks.a]\n{lines}\n"
