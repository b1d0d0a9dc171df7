"""What is made when it is first asked for: large, and often not needed at all."""

from collections.abc import Callable
from threading import Lock
from typing import Generic, TypeVar

T = TypeVar("T")


class Later(Generic[T]):
    """Calls ``make`` once, at the first question, whoever asks from whatever thread."""

    __slots__ = ("_lock", "_make", "_value")

    def __init__(self, make: Callable[[], T]) -> None:
        self._make: Callable[[], T] | None = make
        self._lock = Lock()

    @classmethod
    def known(cls, value: T) -> "Later[T]":
        """Keep what is known already where something that comes later is asked for.

        Parameters
        ----------
        value : object
            The answer.

        Returns
        -------
        Later
        """
        return cls(lambda: value)

    def __call__(self) -> T:
        """Answer.

        Returns
        -------
        object, the same each time
        """
        with self._lock:
            if self._make is not None:
                self._value = self._make()
                self._make = None  # and what it was made from may go
            return self._value
