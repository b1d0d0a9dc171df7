"""What the row over the Records bay says: what happened, what comes next."""

from app.desktop.presenters.bay_words import BayWords
from app.desktop.presenters.mark import Mark
from app.desktop.presenters.records_counts import takes_text
from app.desktop.presenters.records_query import RecordsQuery


def empty_words() -> BayWords:
    """Say that there is nothing yet."""
    return BayWords(
        happened="The store holds no take yet.",
        next="make one in Measure or in Line; it stands here as soon as it is kept.",
        action="bay.measure",
        action_text="Measure",
    )


def looking_words() -> BayWords:
    """Say that the list is being looked for."""
    return BayWords(happened="Looking in the store.", next="wait a moment.", mark=Mark.BUSY)


def list_words(total: int, *, query: RecordsQuery, number: int | None) -> BayWords:
    """Say how many takes the list has, and which one is chosen."""
    if not total:
        return BayWords(
            happened=f"No take found: {query.words}.",
            next="take a letter away, or press a chosen count again to let it go.",
            mark=Mark.INFO,
            action="find",
        )
    found = f"{takes_text(total)} found: {query.words}."
    happened = found if query.words else f"The store holds {takes_text(total)}."
    if number is None:
        return BayWords(happened=happened, next="choose one.", action="open_take", enabled=False)
    return BayWords(
        happened=f"{happened} Take {number} is chosen.",
        next="press D to derive it again, M to compare it, O to see its curves.",
        action="open_take",
    )


def deriving_words(number: int) -> BayWords:
    """Say that a take is being derived again."""
    return BayWords(
        happened=f"Take {number} is derived again from its recording.",
        next="wait a moment; the list can be used meanwhile.",
        mark=Mark.BUSY,
        action="derive_again",
        enabled=False,
    )


def same_words(number: int) -> BayWords:
    """Say that deriving again changed nothing."""
    return BayWords(
        happened=f"Take {number} was derived again: nothing differs.",
        next="export it, or press M to compare it with another take.",
        mark=Mark.GOOD,
        action="export",
    )


def differs_words(number: int, *, told: str) -> BayWords:
    """Say that deriving again changed something."""
    return BayWords(
        happened=f"Take {number} was derived again: {told}.",
        next="press D again to keep the new figures as a take of their own; the old one stays.",
        mark=Mark.CAUTION,
        action="derive_again",
        action_text="Keep",
    )


def kept_words(number: int, *, old: int) -> BayWords:
    """Say that a take derived again was kept."""
    return BayWords(
        happened=f"Take {number} is kept: take {old} with the figures of today.",
        next="press O to see its curves.",
        mark=Mark.GOOD,
        action="open_take",
    )


def pick_words(number: int) -> BayWords:
    """Ask for the second take of a comparison."""
    return BayWords(
        happened=f"Take {number} is held for a comparison.",
        next="choose the take to compare it with, or press M again to let it go.",
        mark=Mark.INFO,
        action="compare",
        action_text="Let go",
    )


def compared_words(new: int, *, old: int, told: str) -> BayWords:
    """Say that two takes stand side by side."""
    return BayWords(
        happened=f"Take {new} beside take {old}: {told}.",
        next="choose another take, or press M to end the comparison.",
        action="compare",
        action_text="End",
    )


def exported_words(number: int, *, files: int, folder: str) -> BayWords:
    """Say what was written, and where."""
    return BayWords(
        happened=f"Take {number}: {files} files are written to {folder}.",
        next="press E to write another take.",
        mark=Mark.GOOD,
        action="export",
    )


def reporting_words(number: int) -> BayWords:
    """Say that a report is being written."""
    return BayWords(happened=f"The report of take {number} is being written.", next="it is told.")


def reported_words(number: int, *, file: str, standing: str, holds: bool) -> BayWords:
    """Say where a report lies, and whether its figures are still those of the recording."""
    return BayWords(
        happened=f"The report of take {number} is {file}.",
        next=standing if not holds else "its figures are still those of its recording.",
        mark=Mark.GOOD if holds else Mark.CAUTION,
        action="report",
    )


def reference_words(number: int, *, procedure: str) -> BayWords:
    """Say that a take is a reference now."""
    return BayWords(
        happened=f"Take {number} is the reference of {procedure} from now on.",
        next="relative masks of takes to come are held against it; earlier ones stay as judged.",
        mark=Mark.GOOD,
        action="open_take",
    )


def copied_words(what: str) -> BayWords:
    """Say what lies on the clipboard."""
    return BayWords(
        happened=f"{what} is copied as a table.", next="paste it into a sheet.", action="open_take"
    )


def pictured_words() -> BayWords:
    """Say that a picture lies on the clipboard."""
    return BayWords(
        happened="The plot is copied as a picture, on light ground.",
        next="paste it into a document.",
        action="open_take",
    )


def refused_words(sentence: str) -> BayWords:
    """Say what could not be done; nothing was changed."""
    return BayWords(
        happened=f"{sentence[:1].upper()}{sentence[1:].rstrip('.')}.",
        next="nothing was changed; press F5 to look again.",
        mark=Mark.BAD,
        action="look_again",
    )
