"""Lines that findings are scored on: what is made, how evenly, and how loud it is about them."""

from dataclasses import dataclass
from math import pi

from hardware.virtual.unit import T130, ConeMode, DriveUnit
from tests.benchmarks.population.hall import Hall

# Invented: a 200 mm, 6 ohm woofer.
W200 = DriveUnit(
    name="W200",
    re_ohm=5.3,
    le_h=0.45e-3,
    l2_h=0.7e-3,
    r2_ohm=3.2,
    bl_tm=8.2,
    mms_kg=26e-3,
    rms_kg_per_s=1.5,
    cms_m_per_n=1 / (26e-3 * (2 * pi * 38.0) ** 2),
    sd_m2=215e-4,
    modes=(
        ConeMode(hz=1500.0, q=5.0, gain=0.40),
        ConeMode(hz=2600.0, q=7.0, gain=-0.55),
        ConeMode(hz=4300.0, q=8.0, gain=0.50),
    ),
    bl_tilt_per_m=6.0,
    bl_sag_per_m2=4e3,
    stiffness_tilt_per_m=-12.0,
    stiffness_rise_per_m2=1.5e4,
    le_slope_per_m=-20.0,
)
# Invented: an 80 mm, 4 ohm unit of a small intercom.
S80 = DriveUnit(
    name="S80",
    re_ohm=3.5,
    le_h=0.06e-3,
    l2_h=0.12e-3,
    r2_ohm=0.9,
    bl_tm=3.0,
    mms_kg=2.5e-3,
    rms_kg_per_s=0.45,
    cms_m_per_n=1 / (2.5e-3 * (2 * pi * 118.0) ** 2),
    sd_m2=33e-4,
    modes=(
        ConeMode(hz=4200.0, q=6.0, gain=0.30),
        ConeMode(hz=7100.0, q=8.0, gain=-0.40),
        ConeMode(hz=11_500.0, q=8.0, gain=0.70),
    ),
    bl_tilt_per_m=20.0,
    bl_sag_per_m2=5e4,
    stiffness_tilt_per_m=-60.0,
    stiffness_rise_per_m2=2e5,
    le_slope_per_m=-60.0,
)

_USUAL_HALL = Hall(noise_db_spl=60.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """What is made, how much its units differ, and how loud it is where they are tested.

    ``spread`` is 1 for an ordinary lot, see ``hardware/virtual/lot.py``.
    """

    called: str
    drawing: DriveUnit = T130
    spread: float = 1.0
    hall: Hall = _USUAL_HALL


ORDINARY = Line(called="ordinary lot")
# Signatures were set with other units of the first five; nothing was set with the last two.
LINES = (
    ORDINARY,
    Line(called="wide lot", spread=1.5),
    Line(called="narrow, 70 dB", spread=0.7, hall=Hall(noise_db_spl=70.0)),
    Line(called="200 mm unit", drawing=W200),
    Line(called="80 mm, 45 dB", drawing=S80, hall=Hall(noise_db_spl=45.0)),
    Line(called="200 mm, wide, 50 dB", drawing=W200, spread=1.3, hall=Hall(noise_db_spl=50.0)),
    Line(called="ordinary, clanks", hall=Hall(noise_db_spl=60.0, clanks_per_s=1.0)),
)
