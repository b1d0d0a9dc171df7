"""What a person can act upon; anything else is a defect of ours and must be seen."""

from app.errors import AppError
from dsp import DspError
from hardware.errors import HardwareError

Refusal = (AppError, HardwareError, DspError, OSError)
