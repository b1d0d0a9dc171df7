"""The one sentence and the one button that every bay offers."""

from dataclasses import dataclass

from app.desktop.presenters.mark import Mark


@dataclass(frozen=True, slots=True, kw_only=True)
class BayWords:
    """What the row under the chain strip says for a bay.

    Attributes
    ----------
    mark : Mark or None
        Stands before the first line; None for a plain statement.
    happened : str
        What happened; a whole sentence.
    next : str
        What to do next, without the word ``Next:``.
    action : str or None
        Id of the action on the primary button; None keeps the last one, disabled.
    action_text : str or None
        What the button says where the action's own words do not fit the moment.
    key : str or None
        What stands on its cap where the action has no key of its own.
    enabled : bool
        Whether the button can be pressed now.
    progress : float or None
        0 to 1 of what plays, settles or derives; None where nothing does.
    """

    happened: str
    next: str
    mark: Mark | None = None
    action: str | None = None
    action_text: str | None = None
    key: str | None = None
    enabled: bool = True
    progress: float | None = None
