"""The quantities that there are, by name, with their units: what masks may be drawn for."""

from collections.abc import Mapping

CURVES: Mapping[str, str] = {
    "level": "dB SPL",
    "level_phase": "deg",
    "impedance": "ohm",
    "impedance_phase": "deg",
    **{f"h{order}": "dB re fundamental" for order in range(2, 21)},
    "thd": "%",
    "high_order": "%",
    **{f"h{order}_input": "dB re fundamental" for order in range(2, 21)},
    "thd_input": "%",
    "high_order_input": "%",
    "multitone_distortion": "dB re all lines",
    "noise": "dB SPL",
}

NUMBERS: Mapping[str, str] = {
    "sensitivity_db": "dB re 20 µPa",
    "polarity": "1",
    "delay_s": "s",
    "clock_offset_ppm": "ppm",
    "re_ohm": "ohm",
    "fs_hz": "Hz",
    "qms": "1",
    "qes": "1",
    "qts": "1",
    "vas_l": "l",
    "mms_g": "g",
    "mmd_g": "g",
    "cms_mm_per_n": "mm/N",
    "rms_kg_per_s": "kg/s",
    "bl_tm": "T m",
    "sd_cm2": "cm2",
    "le_mh": "mH",
    "eta0_percent": "%",
    "reference_1w_db": "dB re 20 µPa",
    "reference_2v83_db": "dB re 20 µPa",
    "modulation_second_percent": "%",
    "modulation_third_percent": "%",
    "modulation_percent": "%",
    "difference_second_percent": "%",
    "difference_third_percent": "%",
    "multitone_percent": "%",
    "rub_buzz_db": "dB",
    "impulse_count": "1",
}
