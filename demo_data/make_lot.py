#!/usr/bin/env python3
"""Make a store of invented lots: ``.venv/bin/python demo_data/make_lot.py --store lots.sqlite``.

Five weeks of a maker of units for passenger announcements in trams: lots T4-W27 to T4-W31, 320
units, some with a fault, graded from what nobody hears to what everybody does; most were looked at
by inspection, whose word is kept with who said so and why. Every run makes the same takes. Their
figures were measured by Dustcap on its rig in software (``measure_lot.py``), and rounded to steps
far below what they are known to; their recordings are not in it.
"""

import argparse
import hashlib
import io
import json
import lzma
import sys
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np

from app.measure.derived import Derived
from app.measure.judge import judge
from app.procedure.shipped import demo_chain, find_procedure
from app.records.captures import capture_hash
from app.records.store import Store
from app.records.take import Finding, Take
from app.records.version import SOFTWARE_VERSION
from dsp import Curve, Floats, Number, ValidRange, read_only
from hardware.card import Capture

TABLE = Path(__file__).parent / "t4-lots.xz"
_STEPS = {"level": 0.004, "impedance": 0.0004, "thd": 0.005, "high_order": 0.005}
_NO_RECORDING = "an invented unit: its recording is not in this store"


class Lots:
    """The figures of all units.

    Parameters
    ----------
    file : Path
        As ``measure_lot.py`` writes it.
    """

    def __init__(self, file: Path = TABLE) -> None:
        arrays = np.load(io.BytesIO(lzma.decompress(file.read_bytes())))
        self._arrays = {key: arrays[key] for key in arrays.files}
        self._about = json.loads(self._arrays["about"].tobytes())
        self._values = {name: self._value(name) for name in _STEPS}
        self.procedure = find_procedure(self._about["procedure"]).procedure
        self.chain = demo_chain()

    @property
    def units(self) -> list[dict[str, Any]]:
        """Serial, lot, start, faults and mark of each, the first made first."""
        units: list[dict[str, Any]] = self._about["units"]
        return units

    def take(self, place: int, *, capture: Capture) -> Take:
        """Judge a unit by the shipped limits.

        Returns
        -------
        Take, which stands on a recording that says nothing.
        """
        unit = self.units[place]
        derived = Derived(
            numbers=self._numbers(place),
            curves={name: self._curve(name, place) for name in _STEPS},
            warnings=(_NO_RECORDING,),
            impulse=None,
            capture_offset=0,
            clock_offset_ppm=0.0,
            latency_source="none",
        )
        judged = judge(derived, procedure=self.procedure, reference=None)
        return Take(
            id=hashlib.sha256(unit["serial"].encode()).hexdigest()[:32],
            unit=unit["serial"],
            lot=unit["lot"],
            procedure=self.procedure,
            chain=self.chain,
            audio={},
            started_utc=datetime.fromisoformat(unit["started_utc"]),
            card=capture.card,
            capture_sha256=capture_hash(capture),
            capture_offset=0,
            software_version=SOFTWARE_VERSION,
            numbers=derived.numbers,
            curves=derived.curves,
            masks=judged.masks,
            verdict=judged.verdict,
            warnings=derived.warnings,
            findings=tuple(
                Finding(
                    cause=one["cause"], confidence=one["confidence"], because=tuple(one["because"])
                )
                for one in self._about["findings"][place]
            ),
        )

    def _value(self, name: str) -> Floats:
        stored = self._arrays[f"{name}/deltas"].transpose(1, 2, 0)
        deltas = np.ascontiguousarray(stored).view("<i2")[:, :, 0]
        steps = np.cumsum(deltas, axis=1, dtype=np.int16)
        scaled: Floats = self._arrays[f"{name}/middle"].astype(np.float64) + _STEPS[name] * steps
        return scaled if name == "level" else np.exp(scaled)

    def _curve(self, name: str, place: int) -> Curve:
        about, value = self._about["curves"][name], self._values[name][place]
        low, high = self._arrays[f"{name}/valid_hz"][place].tolist()
        bound = np.unpackbits(self._arrays[f"{name}/is_bound"][place], count=value.size)
        uncertainty = self._arrays[f"{name}/uncertainty"].astype(np.float64)
        if name != "level":
            uncertainty = uncertainty * value
        return Curve(
            frequency_hz=self._arrays[f"{name}/frequency_hz"],
            value=value,
            unit=about["unit"],
            valid=ValidRange(
                low_hz=low,
                high_hz=high,
                low_reason=about["low_reason"],
                high_reason=about["high_reason"],
            ),
            uncertainty=np.where(bound, np.nan, uncertainty),
            is_bound=bound.astype(np.bool_) if bound.any() else None,
            how=about["how"],
        )

    def _numbers(self, place: int) -> dict[str, Number]:
        about, reasons = self._about["numbers"], self._about["reasons"][place]
        keys = ("value", "uncertainty", "is_bound")
        columns = (self._arrays[f"numbers/{key}"][place] for key in keys)
        rows = zip(about.items(), *columns, strict=True)
        return {
            name: Number(
                value=float(value),
                unit=said["unit"],
                uncertainty=None if np.isnan(uncertainty) else float(uncertainty),
                k=said["k"],
                how=said["how"],
                reason=reasons.get(name, ""),
                is_bound=bool(is_bound),
            )
            for (name, said), value, uncertainty, is_bound in rows
        }


def silence(lots: Lots, place: int) -> Capture:
    """Make a recording for a unit that has none.

    Returns
    -------
    Capture, one frame of nothing.
    """
    return Capture(
        samples=read_only(np.zeros((1, 3), dtype=np.float32)),
        sample_rate_hz=float(lots.chain.chain.device.sample_rate),
        started_utc=datetime.fromisoformat(lots.units[place]["started_utc"]),
        card="rig in software",
    )


def fill(store: Store, *, lots: Lots) -> int:
    """Keep all units that a store does not have yet, and what inspection said of them.

    Returns
    -------
    int, how many units were kept.
    """
    kept = 0
    for place, unit in enumerate(lots.units):
        if store.count(serial=unit["serial"]):
            continue
        capture = silence(lots, place)
        store.keep(lots.take(place, capture=capture), capture=capture)
        if unit["mark"]:
            store.mark_unit(unit["serial"], unit["mark"], by=unit["by"], why=unit["why"])
        kept += 1
    return kept


def main() -> None:
    """Make the store, or add to it what it lacks."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("--store", default="out/lots/records.sqlite", help="store, file or URL")
    place = parser.parse_args().store
    with Store.open(place) as store:
        kept = fill(store, lots=Lots())
        sys.stdout.write(f"{kept} units kept in {store.name}\n")


if __name__ == "__main__":
    main()
