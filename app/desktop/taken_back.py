"""What an undo or redo did, in words, and in which bay it is seen."""

from app.desktop.undo import Edit


def bay_of(edit: Edit) -> str:
    """Return the bay in which an edit is seen."""
    from app.desktop.bench import Wired  # there is a bench, as something was edited on it

    before, after = edit.before, edit.after
    if isinstance(after, Wired):
        return "chain"
    return "measure" if before.procedure.masks == after.procedure.masks else "limits"


def taken_back(edit: Edit, *, is_redone: bool, entered: str | None) -> str:
    """Say what was taken back, or done again; where, if that is not where a person is."""
    verb, bay = "Done again" if is_redone else "Taken back", bay_of(edit)
    where = "" if bay == entered else f" in {bay.capitalize()}"
    text = edit.text()
    return f"{verb}{where}: {text[:1].lower()}{text[1:]}."
