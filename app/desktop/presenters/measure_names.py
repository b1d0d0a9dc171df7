"""Which numbers belong together where the Measure bay shows them; names are the report's."""

from app.report.quantity_names import (
    NUMBERS,
    QUANTITIES,
    ShownAs,
    number_as,
    plain_reason,
    quantity_name,
)

__all__ = [
    "COUNTS",
    "EVIDENCE",
    "NUMBERS",
    "PARAMETERS",
    "QUANTITIES",
    "ShownAs",
    "number_as",
    "plain_reason",
    "quantity_name",
]

# What findings are read from, besides the figure of rub and buzz and the count of particles.
EVIDENCE = frozenset(
    {
        "rub_buzz_high_order_db",
        "rub_buzz_colour_db",
        "rub_buzz_crest",
        "random_noise_db",
        "random_peak_db",
        "noise_modulation",
        "audible_excess_db",
    }
)

# Of the impedance's model: they have a card of their own, with what speaks against them.
PARAMETERS = frozenset(
    {
        "fs_hz",
        "re_ohm",
        "qms",
        "qes",
        "qts",
        "vas_l",
        "mms_g",
        "mmd_g",
        "cms_mm_per_n",
        "rms_kg_per_s",
        "bl_tm",
        "sd_cm2",
        "le_mh",
        "eta0_percent",
        "reference_1w_db",
        "reference_2v83_db",
    }
)

COUNTS = frozenset({"polarity", "impulse_count"})  # whole numbers, without an interval
