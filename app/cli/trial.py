"""``dustcap trial``: what a draft of limits would do to units that were measured already."""

from typing import TYPE_CHECKING, Annotated

import typer

from app.cli.limits.given import limits_given
from app.cli.output import WORDS, print_json, print_table
from app.errors import BadInputError

if TYPE_CHECKING:
    from app.measure.compare_trials import Comparison
    from app.measure.missing_masks import MissingMasks
    from app.measure.trial import Trial
    from app.records.store import Store

_SHOWN = 40  # units that change, in a table for a person


def trial(
    limits: Annotated[
        str, typer.Argument(help="File of limits (TOML or CSV), or SET@N: a revision in the store.")
    ],
    store: Annotated[
        str | None, typer.Option(help="Store, file or URL; otherwise your own.")
    ] = None,
    lot: Annotated[str | None, typer.Option(help="Units of this production lot only.")] = None,
    procedure: Annotated[
        str | None, typer.Option(help="Name of the procedure; needed where there are several.")
    ] = None,
    now: Annotated[
        str | None,
        typer.Option(
            help="What the draft is held against, as LIMITS; otherwise the verdicts that the "
            "takes were given when they were made."
        ),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON document on stdout.")] = False,
) -> None:
    """Judge stored units by a draft of limits, and tell what it would change.

    Of each unit the newest take counts.
    """
    from app.measure.compare_trials import compare
    from app.measure.missing_masks import missing_masks
    from app.measure.rejudge import judged_when_made, rejudge
    from app.measure.trial import load_trial
    from app.measure.trial_document import trial_document
    from app.records.store import Store

    with Store.open(store, must_exist=True) as records:
        draft = limits_given(limits, store=records)
        before = limits_given(now, store=records) if now else None
        both = (*draft.masks.values(), *(before.masks.values() if before else ()))
        units = load_trial(
            records,
            name=_procedure(records, asked=procedure or draft.procedure, lot=lot),
            quantities={mask.quantity for mask in both},
            lot=lot,
        )
        standing = rejudge(units, masks=before.masks) if before else judged_when_made(units)
        judged = rejudge(units, masks=draft.masks, before=standing)
        missing = missing_masks(
            units,
            draft=judged,
            now=standing,
            masks=before.masks if before else None,
            store=records,
        )
    found = compare(units, now=standing, draft=judged)
    if as_json:
        print_json(trial_document(units, found, missing=missing))
    else:
        _print(units, found, draft=limits, now=now or "as judged when measured", missing=missing)


def _procedure(store: "Store", *, asked: str, lot: str | None) -> str:
    """Return the name of the procedure whose takes count."""
    if lot is not None and lot not in store.lots():
        raise BadInputError(
            "--lot", "no take of it", given=lot, allowed=", ".join(store.lots()) or "none yet"
        )
    known = store.procedures(lot=lot)
    if not known:
        raise BadInputError(store.name, "holds no take yet")
    if asked and asked not in known:
        raise BadInputError("--procedure", "no take of it", given=asked, allowed=", ".join(known))
    if not asked and len(known) > 1:
        raise BadInputError(
            "--procedure", "takes of several procedures", allowed=f"one of {', '.join(known)}"
        )
    return asked or known[0]


def _print(
    units: "Trial", found: "Comparison", *, draft: str, now: str, missing: "MissingMasks"
) -> None:
    from app.procedure.limit_words import counted

    lots = f" of {', '.join(units.lots)}" if units.lots else ""
    typer.echo(f"{counted(units.size, 'unit')}{lots}, {units.procedure}\n")
    print_table(
        ("limits", "yield", "escapes", "false rejects"),
        [
            (now, _share(found.now.yielded), str(found.escapes_now), str(found.false_rejects_now)),
            (draft, _share(found.draft.yielded), str(found.escapes), str(found.false_rejects)),
        ],
    )
    if missing.words:
        typer.echo(f"\n{missing.words}")
    good, bad = int(units.good.sum()), int(units.bad.sum())
    typer.echo(f"\nby inspection {good} found good, {bad} found bad\n")
    print_table(
        ("mask", "fails", "margin that 95 % keep"),
        [
            (name, str(int(one.fails.sum())), _margin(one.worst_margin))
            for name, one in found.draft.masks.items()
        ],
    )
    typer.echo(f"\n{len(found.flips)} of {counted(units.size, 'unit')} judged otherwise")
    if found.flips:
        print_table(
            ("unit", "now", "draft", "by inspection", "because of"),
            [
                (
                    units.units[flip.unit].serial,
                    flip.before.value,
                    f"{WORDS[flip.after.value]} {flip.after.value}",
                    units.units[flip.unit].mark or "—",
                    flip.mask or missing.of_unit(flip.unit) or "—",
                )
                for flip in found.flips[:_SHOWN]
            ],
        )
    if len(found.flips) > _SHOWN:
        typer.echo(f"and {len(found.flips) - _SHOWN} more: --json tells all")


def _share(share: float) -> str:
    return "—" if share != share else f"{100 * share:.1f} %"


def _margin(margin: float) -> str:
    return "—" if margin != margin else f"{margin:+.2f}".replace("-", "−")
