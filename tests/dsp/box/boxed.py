"""The unit and the air that the tests of boxes share: a worked example done apart from our code."""

from dsp.acoustic.air import Air
from dsp.box.unit import BoxUnit

AIR = Air(speed_m_per_s=343.0, density_kg_per_m3=1.2)
# Re 6.0 ohm, Bl 6.5 T m, Mms 12.5 g, Cms 1.0 mm/N, Rms 1.1 kg/s, Sd 133 cm2.
UNIT = BoxUnit(
    fs_hz=45.015815808,
    qms=3.214121733,
    qes=0.502087655,
    vas_m3=24.973117932e-3,
    sd_m2=133e-4,
    re_ohm=6.0,
)
