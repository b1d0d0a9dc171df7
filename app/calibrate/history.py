"""What earlier calibrations of a quantity found, as far as a new one is held against it."""

import math
from dataclasses import dataclass

from app.records.calibration_record import CalibrationRecord, Purpose
from app.records.store import Store
from dsp.calibration.scatter import Scatter, pooled_scatter
from hardware.chain.schema import Chain


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class History:
    """Records of one link of one chain.

    Attributes
    ----------
    records : tuple of CalibrationRecord
        Calibrations and checks, accepted or refused, the newest first.
    """

    records: tuple[CalibrationRecord, ...] = ()

    def accepted(self, quantity: str) -> tuple[CalibrationRecord, ...]:
        """Return the calibrations of a quantity that were accepted, the newest first."""
        return tuple(
            one
            for one in self.records
            if one.accepted and one.purpose is Purpose.CALIBRATION and one.quantity == quantity
        )

    def scatter(self, quantity: str, *, name: str) -> Scatter | None:
        """Return how much single couplings of earlier days scattered, in dB.

        Parameters
        ----------
        quantity : str
            Key of the chain file, dotted.
        name : str
            Beginning of the numbers that hold one coupling each.

        Returns
        -------
        Scatter; None where no day had several.
        """
        days = [
            [number.value for key, number in one.numbers.items() if key.startswith(name)]
            for one in self.accepted(quantity)
        ]
        return pooled_scatter([day for day in days if all(math.isfinite(v) for v in day)])


def read_history(store: Store | None, *, chain: Chain, link: str) -> History:
    """Fetch the history of a link; an empty one without a store."""
    if store is None:
        return History()
    return History(records=store.calibrations(chain=chain.name, link=link))
