"""Everything that can go wrong between a file, a card and a wire: one root, one line each."""


class HardwareError(Exception):
    """Root of this package's errors; the message is one line fit for a person."""


class FileError(HardwareError):
    """A chain, procedure or calibration file that cannot be used as it stands.

    Parameters
    ----------
    file : str
        As the person named it.
    what : str
        What is wrong, in a few words.
    line : int or None
        Counted from 1.
    key : str
        Dotted path, for example ``input.sense.resistor_ohm``; empty for the file as a whole.
    given, allowed : object
        Left out of the message where None.
    more : int
        How many other things are wrong with the same file.
    """

    def __init__(
        self,
        file: str,
        what: str,
        *,
        line: int | None = None,
        key: str = "",
        given: object = None,
        allowed: object = None,
        more: int = 0,
    ) -> None:
        self.file, self.what, self.line, self.key = file, what, line, key
        self.given, self.allowed, self.more = given, allowed, more
        where = file + (f":{line}" if line else "") + (f" {key}" if key else "")
        tail = [f"given {given}"] if given is not None else []
        tail += [f"allowed {allowed}"] if allowed is not None else []
        said = f"{where}: {what}" + (": " + ", ".join(tail) if tail else "")
        super().__init__(said + (f" (and {more} more)" if more else ""))


class CardRefusedError(HardwareError):
    """The card does not do what was asked of it: not there, wrong rate, too few channels."""


class CardLostError(HardwareError):
    """The card, its server or the process that owns it went away in the middle of a run."""


class OutputTooHighError(HardwareError):
    """The output asked for would exceed what the chain allows at the unit's terminals."""


class ValueRefusedError(HardwareError):
    """A value that a person typed, and that cannot stand where it was typed.

    Parameters
    ----------
    key : str
        Dotted path of the key, for example ``input.sense.resistor_ohm``.
    what : str
        What is wrong, in a few words.
    given, allowed : object
        Left out of the message where None.
    """

    def __init__(
        self, key: str, what: str, *, given: object = None, allowed: object = None
    ) -> None:
        tail = [f"given {given}"] if given is not None else []
        tail += [f"allowed {allowed}"] if allowed is not None else []
        self.key = key
        self.sentence = what + (": " + ", ".join(tail) if tail else "")
        super().__init__(f"{key}: {self.sentence}" if key else self.sentence)
