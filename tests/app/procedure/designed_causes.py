"""What findings may name, by the design of the command line."""

CAUSES = (
    "weak magnet",
    "stiff suspension",
    "soft suspension",
    "moving mass off",
    "wiring reversed",
    "coil rub",
    "loose joint",
    "particle in the gap",
    "air leak",
    "lead slap",
    "wrong unit",
    "chain fault",
    "cannot tell",
)
