"""The chain in a report: what every link was worth, by which calibration, and the budgets."""

from collections.abc import Iterator

from app.records.reread import Reread
from app.report.calibration_text import amount
from app.report.ink import INK2
from app.report.sheet import (
    Block,
    Column,
    heading,
    named,
    prose,
    table_head,
    table_row,
    together,
)
from app.report.take_report_facts import budgets, calibration_facts, digits, links
from hardware.chain.budget import Budget

_LINKS = (
    Column(at=0, to=0.34, head="link"),
    Column(at=0.34, to=0.52, head="value", ends=True),
    Column(at=0.55, to=0.69, head="interval"),
    Column(at=0.7, to=1, head="proved on"),
)
_BUDGET = (
    Column(at=0, to=0.48, head="contribution of"),
    Column(at=0.48, to=0.6, head="u (k = 1)", ends=True),
    Column(at=0.62, to=0.68, head="unit"),
)


def chain_blocks(found: Reread) -> Iterator[Block]:
    """Return the section on the chain."""
    take = found.record.take
    yield from heading(f"Chain: {take.chain.chain.name}")
    yield table_head(_LINKS)
    for texts in links(take.chain):
        yield from table_row(_LINKS, texts)
    yield from heading("Calibrations used")
    facts = calibration_facts(found.calibrations)
    for name, text in facts:
        yield from named(name, text)
    if not facts:
        yield from prose("None of this store: the values above were typed.", color=INK2)
    for name, budget in budgets(take):
        yield from together(_budget(name, budget))


def _budget(name: str, budget: Budget) -> Iterator[Block]:
    yield from heading(f"Budget of the {name}")
    columns = (*_BUDGET, Column(at=0.66, to=0.86, head=f"contributes, {budget.unit}", ends=True))
    yield table_head(columns)
    for line in budget.contributions:
        stated = line.standard_uncertainty > 0
        yield from table_row(
            columns,
            (
                line.key,
                digits(line.standard_uncertainty) if stated else "not stated",
                line.unit if stated else "",
                f"{line.contribution:.2g}" if stated else "",
            ),
        )
    expanded = 2 * budget.standard_uncertainty
    if budget.states_none:
        yield from prose("Nothing is stated: intervals cover noise alone.", color=INK2)
        return
    combined = ("combined, expanded (k = 2), without noise", "", "", amount(expanded, expanded))
    yield from table_row(columns, combined, bold=True)
