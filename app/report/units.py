"""Units as they stand beside a value."""

_UNITS = {"ohm": "Ω", "deg": "°", "T m": "T·m", "N s/m": "N·s/m", "cm2": "cm²", "1": ""}


def short_unit(unit: str) -> str:
    """Return a unit as it stands beside a value, without what it refers to."""
    plain = unit.split(" re ")[0].removesuffix(" SPL")
    return _UNITS.get(plain, plain)
