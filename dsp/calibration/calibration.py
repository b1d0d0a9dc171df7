"""What a calibration found: a value, how sure it is, and whether it may be used."""

from dataclasses import dataclass

from dsp.calibration.budget import WrittenBudget


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One thing that was looked at before the value was believed.

    Attributes
    ----------
    name : str
        ``level``, ``frequency``, ``settled``, ``spread``, ``distortion``, ``hum``, ``drift``.
    passed : bool
        Whether it was as it should be; one that is not refuses the calibration.
    sentence : str
        What was found and what is allowed, in one line.
    """

    name: str
    passed: bool
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """The result for one quantity of one link.

    Attributes
    ----------
    quantity : str
        Key of the chain file that it would replace: ``input.pressure.sensitivity_v_per_pa``.
    value : float
        In ``unit``.
    unit : str
        Of the chain file.
    budget : WrittenBudget
        In per cent of the value or in dB, as the chain file states that quantity's uncertainty.
    checks : tuple of Check
        In the order in which they were made.
    """

    quantity: str
    value: float
    unit: str
    budget: WrittenBudget
    checks: tuple[Check, ...]

    @property
    def accepted(self) -> bool:
        """Whether nothing speaks against it."""
        return all(check.passed for check in self.checks)

    @property
    def reasons(self) -> tuple[str, ...]:
        """What speaks against it."""
        return tuple(check.sentence for check in self.checks if not check.passed)
