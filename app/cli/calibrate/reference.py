"""``dustcap calibrate reference``: a day's check by takes of a reference unit."""

from typing import Annotated

import typer

from app.cli.calibrate import options
from app.cli.option_groups import with_groups
from app.errors import BadInputError


@with_groups
def reference(
    chain: options.Chain,
    unit: Annotated[str, typer.Option(help="Serial of the reference unit: its newest take.")],
    against: Annotated[
        str | None, typer.Option(help="Id of an earlier take of it; otherwise its first one.")
    ] = None,
    *,
    kept: options.Kept,
) -> int:
    """Hold the newest take of a reference unit against an earlier one; the chain stays as it is."""
    from app.calibrate.reference_unit import LINK, ReferenceUnitMethod
    from app.cli.calibrate.conditions import asked_of, conditions_of
    from app.cli.calibrate.finish import finish
    from app.records.store import Store
    from hardware.chain.load import load_chain

    snapshot = load_chain(chain)
    with Store.open(kept.store) as records:
        found = records.find(serial=unit)
        if len(found) < 2 and (not found or against is None):
            raise BadInputError(
                "--unit", "takes of it in the store", given=len(found), allowed="two or more"
            )
        now = records.take(found[0].id)
        then = records.take(against or found[-1].id)
        capture = records.capture(now)
    asked = asked_of(
        kept,
        instrument=f"reference unit {unit}",
        conditions=conditions_of(snapshot.chain),
        against=options.Against(serial=unit, check=True),
    )
    return finish(
        ReferenceUnitMethod(then=then, now=now),
        [capture],
        link=LINK,
        asked=asked,
        chain=snapshot,
        chain_file=chain,
        kept=kept,
    )
