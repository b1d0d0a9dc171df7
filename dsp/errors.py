"""The one error root of the computation package."""


class DspError(Exception):
    """Input that a computation cannot answer for: where, what, given, allowed.

    Parameters
    ----------
    where : str
        The function that refuses.
    what : str
        What is wrong, in a few words.
    given, allowed : object
        The offending value and what would have been accepted; left out of the message where None.
    """

    def __init__(
        self, where: str, what: str, *, given: object = None, allowed: object = None
    ) -> None:
        self.where, self.what, self.given, self.allowed = where, what, given, allowed
        tail = [f"given {given}"] if given is not None else []
        tail += [f"allowed {allowed}"] if allowed is not None else []
        super().__init__(f"{where}: {what}" + (": " + ", ".join(tail) if tail else ""))
