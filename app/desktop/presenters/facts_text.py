"""Facts as text: to be pasted into a sheet, to be read aloud."""

from collections.abc import Sequence

from app.desktop.presenters.figures import Fact

_SPACE = "\N{NO-BREAK SPACE}"


def tab_separated(facts: Sequence[Fact]) -> str:
    """Return one line a fact: name, value, interval, unit, mark; figures as a sheet reads them."""
    lines = (
        (fact.name, fact.value, fact.interval, fact.unit, fact.mark.value if fact.mark else "")
        for fact in facts
    )
    return "".join("\t".join(map(_plain, line)).rstrip("\t") + "\n" for line in lines)


def spoken(facts: Sequence[Fact]) -> str:
    """Return the facts as one sentence."""
    return "; ".join(
        " ".join(
            filter(
                None,
                (
                    fact.name,
                    fact.value,
                    fact.interval,
                    fact.unit,
                    f"({fact.mark.value})" if fact.mark else "",
                ),
            )
        )
        for fact in facts
    )


def _plain(text: str) -> str:
    return text.removeprefix("±").replace("−", "-").replace(_SPACE, "")
