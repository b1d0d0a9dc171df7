"""How a take stands by the proof of its chain: on which calibrations, and which links failed."""

from dataclasses import replace
from datetime import datetime

from app.measure.derived import Derived
from app.records.store import Store
from hardware.chain.schema import Chain


def marked(derived: Derived, *, store: Store | None, chain: Chain, at: datetime) -> Derived:
    """Warn of links whose last calibration or check was refused; nothing is judged on them.

    Parameters
    ----------
    derived : Derived
        From a capture.
    store : Store or None
        What knows of the chain's calibrations.
    chain : Chain
        Through which it was recorded.
    at : datetime
        Aware, when the capture was recorded: what was mended later was not mended then.

    Returns
    -------
    Derived; the same where nothing failed, or nothing is known.
    """
    if store is None:
        return derived
    said = tuple(link.sentence for link in store.calibration_state(chain, until=at).failed)
    if not said:
        return derived
    return replace(
        derived,
        warnings=(*derived.warnings, *said),
        untrusted=derived.untrusted or said[0],
    )


def stands_on(store: Store | None, *, chain: Chain, at: datetime) -> tuple[str, ...]:
    """Return the ids of the calibrations that gave the values of a chain, sorted."""
    if store is None:
        return ()
    return tuple(sorted(set(store.calibration_state(chain, until=at).in_force.values())))
