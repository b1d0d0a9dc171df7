"""Takes made up for tests, and a comparison that takes bits for bits."""

import dataclasses
import uuid
from datetime import UTC, datetime, timedelta
from typing import Any

import numpy as np

from app.procedure.schema import Procedure
from app.records.captures import capture_hash
from app.records.take import Finding, Take
from dsp import Curve, Number, ValidRange
from dsp.conformity.verdict import MaskResult, Verdict
from dsp.later import Later
from hardware.card import Capture
from hardware.chain.schema import Chain
from hardware.chain.snapshot import ChainSnapshot, ResponseTable

START = datetime(2026, 7, 27, 6, 30, 0, 123456, tzinfo=UTC)

PROCEDURE = Procedure.model_validate(
    {
        "name": "line-check",
        "excitation": {"kind": "log_sweep", "duration_s": 0.1, "level_v_rms": 2.83},
        "masks": {
            "window": {"quantity": "level", "upper": ((100.0, 95.0), (5000.0, 95.0))},
            "a resonance": {"quantity": "fs_hz", "upper": 90.0, "lower": 70.0},
        },
    }
)

CHAIN = ChainSnapshot(
    chain=Chain.model_validate(
        {
            "name": "bench 2",
            "output": {
                "drive": {
                    "channel": 1,
                    "full_scale_v": 1.228,
                    "amplifier_gain": -7.1,
                    "max_terminal_v_rms": 6.0,
                    "calibrated_on": "2026-02-03",
                }
            },
            "input": {
                "pressure": {
                    "channel": 1,
                    "full_scale_v": 0.1 + 0.2,
                    "sensitivity_v_per_pa": 0.0123,
                    "response": "microphones/M-07.csv",
                },
                "sense": {"channel": 2, "full_scale_v": 1.0, "resistor_ohm": 0.1},
            },
        }
    ),
    response=ResponseTable(hz=(20.0, 1000.0, 20_000.0), db=(-0.1, 0.0, 1.7)),
)


def make_capture(seed: int = 1, *, frames: int = 480, channels: int = 2) -> Capture:
    rng = np.random.default_rng(seed)
    return Capture(
        samples=rng.normal(scale=0.1, size=(frames, channels)).astype(np.float32),
        sample_rate_hz=48_000.0,
        started_utc=START,
        card="virtual rig, T130",
        dropouts=seed % 3,
        lost_channels=(2,),
    )


def make_curves(seed: int = 1, *, points: int = 40) -> dict[str, Curve]:
    rng = np.random.default_rng(seed)
    frequency = np.geomspace(20, 20_000, points)
    value = 80 + rng.normal(size=points)
    value[0] = np.nan
    valid = ValidRange(low_hz=40.0, high_hz=18_000.0, low_reason="gate", high_reason="microphone")
    return {
        "level": Curve(
            frequency_hz=frequency,
            value=value,
            unit="dB re 20 µPa",
            valid=valid,
            uncertainty=np.abs(rng.normal(size=points)),
            how="sweep",
        ),
        "h2": Curve(
            frequency_hz=frequency[: points // 2],
            value=-40 + rng.normal(size=points // 2),
            unit="dB",
            valid=ValidRange(low_hz=20.0, high_hz=10_000.0),
            is_bound=rng.random(points // 2) < 0.5,
        ),
    }


def make_take(capture: Capture, *, seed: int = 1, **changes: Any) -> Take:
    rng = np.random.default_rng(seed)
    take = Take(
        id=uuid.UUID(bytes=rng.bytes(16)).hex,
        unit="T4-W31-0417",
        lot="T4-W31",
        procedure=PROCEDURE,
        chain=CHAIN,
        audio={},
        started_utc=START + timedelta(seconds=seed),
        card=capture.card,
        capture_sha256=capture_hash(capture),
        capture_offset=17,
        software_version="0.1.0",
        numbers={
            "sensitivity_db": Number(value=88.25, unit="dB", uncertainty=0.31, how="mean"),
            "re_ohm": Number(value=float("nan"), unit="ohm", reason="the coil rubs"),
            "polarity": Number(value=-1.0, unit="1", k=1.96),
        },
        curves=make_curves(seed),
        masks={
            "window": MaskResult(verdict=Verdict.CONFORMS, margin=0.7, nearest_hz=1250.0),
            "a resonance": MaskResult(
                verdict=Verdict.NOT_DECIDED, margin=float("nan"), reason="not measured"
            ),
        },
        verdict=Verdict.NOT_DECIDED,
        warnings=("the microphone's calibration is 400 days old",),
        findings=(Finding(cause="coil rub", confidence=0.8, because=("high orders rise",)),),
    )
    return dataclasses.replace(take, **changes)


def bits(value: object) -> object:
    """Return something that is equal only where every bit and every type is."""
    if dataclasses.is_dataclass(value):
        fields = {f.name: bits(getattr(value, f.name)) for f in dataclasses.fields(value)}
        return type(value).__name__, fields
    match value:
        case np.ndarray():
            return value.dtype.str, value.shape, value.tobytes()
        case float():
            return float, float(value).hex()
        case dict():
            return [(key, bits(item)) for key, item in value.items()]
        case tuple():
            return tuple, [bits(item) for item in value]
        case Later():
            return bits(value())
        case _:
            return type(value).__name__, value
