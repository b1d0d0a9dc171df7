"""The two takes of a comparison: one is held, the other is whatever is chosen."""

from dataclasses import dataclass

from app.records.record import Record


@dataclass(slots=True, kw_only=True)
class Comparing:
    """``held`` is the older side; without it there is no comparison."""

    held: Record | None = None

    @property
    def is_on(self) -> bool:
        """Whether a take is held."""
        return self.held is not None

    def toggle(self, chosen: Record | None) -> None:
        """Hold the chosen take, or let go of the one that is held."""
        self.held = None if self.is_on else chosen

    def with_(self, chosen: Record | None) -> tuple[Record, Record] | None:
        """Return held and chosen take; None as long as they are the same."""
        if self.held is None or chosen is None or chosen.take.id == self.held.take.id:
            return None
        return self.held, chosen
