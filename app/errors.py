"""The error root of everything a person touches; the message is one line fit to be shown."""


class AppError(Exception):
    """Root of this package's errors."""


class BadInputError(AppError):
    """Something a person gave that cannot be used: where, what, given, allowed.

    Parameters
    ----------
    where : str
        File, key or option.
    what : str
        What is wrong, in a few words.
    given, allowed : object
        Left out of the message where None.
    """

    def __init__(
        self, where: str, what: str, *, given: object = None, allowed: object = None
    ) -> None:
        tail = [f"given {given}"] if given is not None else []
        tail += [f"allowed {allowed}"] if allowed is not None else []
        self.where, self.what = where, what
        self.sentence = what + (": " + ", ".join(tail) if tail else "")  # where the place is seen
        super().__init__(f"{where}: {self.sentence}")


class MeasurementFailedError(AppError):
    """The measurement could not be finished; nothing of it was kept."""
