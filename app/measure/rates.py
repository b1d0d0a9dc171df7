"""Escapes and false rejects among inspected units, and in words what such a count proves."""

from dataclasses import dataclass

from dsp.statistics.proportion import Proportion, proportion


@dataclass(frozen=True, slots=True, kw_only=True)
class Rates:
    """Bad units that pass among all bad ones, good units that are stopped among all good ones."""

    escapes: Proportion
    false_rejects: Proportion

    @property
    def words(self) -> tuple[str, str]:
        """A sentence on each, with what it proves at most."""
        return (
            _said(self.escapes, kind="bad", done="pass", none="pass"),
            _said(self.false_rejects, kind="good", done="are stopped", none="is stopped"),
        )


def rates(*, escapes: int, bad: int, false_rejects: int, good: int) -> Rates:
    """Put intervals of 95 % about both (Clopper and Pearson)."""
    return Rates(
        escapes=proportion(escapes, of=bad), false_rejects=proportion(false_rejects, of=good)
    )


def _said(one: Proportion, *, kind: str, done: str, none: str) -> str:
    if not one.of:
        return f"No unit is marked {kind}: nothing is known of {kind} units that {done}."
    units = "unit" if one.of == 1 else "units"
    if not one.count:
        return (
            f"None of {one.of} {kind} {units} {_singular(none)}, which proves no more than that "
            f"at most {percent(one.high)} of {kind} units {done}."
        )
    verb = done if one.count > 1 else _singular(none)
    return (
        f"{one.count} of {one.of} {kind} {units} {verb}: "
        f"{percent(one.low)} to {percent(one.high)} of {kind} units."
    )


def _singular(verb: str) -> str:
    return "passes" if verb == "pass" else verb


def percent(share: float) -> str:
    """Write a share of 0 to 1 as a person reads it, three digits at most."""
    value = 100 * share
    digits = 1 if value >= 0.095 or value == 0 else 2
    return f"{value:.{digits}f} %" if value < 99.95 else "100 %"
