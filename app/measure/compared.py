"""What a take is held against to find causes: good units of its kind, and how faults show."""

from dataclasses import dataclass, replace

import numpy as np

from app.measure.likes import likes_of
from app.measure.trait_values import FIGURES_NEED
from app.measure.usuals import Usuals, usuals_of
from app.procedure.names import NUMBERS
from app.procedure.signature_schema import Signatures
from app.procedure.signatures import shipped_signatures, signatures_beside
from app.records.store import Store
from dsp.findings.usual import usual
from hardware.chain.schema import Chain
from hardware.errors import FileError


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Compared:
    """Ready before the take: reading a lot takes longer than judging a unit.

    Attributes
    ----------
    usuals : Usuals
        What is usual.
    signatures : Signatures
        What is looked at, and how causes show.
    warnings : tuple of str
        Where somebody's own signature file could not be used.
    """

    usuals: Usuals
    signatures: Signatures
    warnings: tuple[str, ...] = ()


def compared_with(
    store: Store | None, *, procedure: str, chain: Chain, lot: str | None, unit: str | None
) -> Compared:
    """Gather what a take will be held against.

    Parameters
    ----------
    store : Store or None
        Its good units; a signature file beside it counts in the place of the one that ships.
    procedure : str
        Name of the procedure.
    chain : Chain
        Its nominal impedance tells a short or an open lead where no good unit does.
    lot, unit : str or None
        Of the take.

    Returns
    -------
    Compared; a signature file that cannot be used is told and left out, for no take shall be
    lost over it.
    """
    warnings: tuple[str, ...] = ()
    try:
        signatures = signatures_beside(store.folder if store else None)
    except FileError as refused:
        signatures = shipped_signatures()
        warnings = (f"findings by the signatures that ship: {refused}",)
    figures, traits = signatures.figures.values(), signatures.traits.values()
    signs = signatures.signs.values()
    likes = likes_of(
        store,
        procedure=procedure,
        lot=lot,
        unit=unit,
        numbers=NUMBERS.keys()
        & {
            FIGURES_NEED,
            *(name for trait in traits for name in (*trait.numbers, *trait.shown)),
            *(sign.number for sign in signs if sign.number),
        },
        curves={
            *(name for figure in figures for name in figure.curves),
            *(trait.curve for trait in traits if trait.curve),
            *(sign.curve for sign in signs if sign.curve),
        },
    )
    usuals = usuals_of(likes, signatures=signatures)
    return Compared(
        usuals=_with_nominal(usuals, signatures=signatures, chain=chain),
        signatures=signatures,
        warnings=warnings,
    )


def _with_nominal(usuals: Usuals, *, signatures: Signatures, chain: Chain) -> Usuals:
    nominal_ohm = chain.output.drive.nominal_ohm
    if nominal_ohm is None:
        return usuals
    assumed = {
        name: usual(np.array([nominal_ohm]), assumed=sign.spread)
        for name, sign in signatures.signs.items()
        if sign.curve == "impedance" and sign.times_usual is not None
    }
    return replace(usuals, signs={**assumed, **usuals.signs})
