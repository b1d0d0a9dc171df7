"""What the Records bay is asked for: the text and the counts that filter."""

from dataclasses import dataclass, replace

from app.records.filters import Filters, Kind
from dsp.conformity.verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordsQuery:
    """A text, and at most one lot, verdict and kind; each None lets everything pass."""

    text: str = ""
    lot: str | None = None
    verdict: Verdict | None = None
    kind: Kind | None = None

    @property
    def filters(self) -> Filters:
        """The same for the store."""
        return Filters(text=self.text, lot=self.lot, verdict=self.verdict, kind=self.kind)

    @property
    def lot_filters(self) -> Filters:
        """What the counts of lots go by: all but the lot."""
        return Filters(text=self.text, kind=self.kind)

    @property
    def kind_filters(self) -> Filters:
        """What the counts of kinds go by: all but the kind."""
        return Filters(text=self.text, lot=self.lot, verdict=self.verdict)

    @property
    def is_open(self) -> bool:
        """Whether every take passes."""
        return self == RecordsQuery()

    @property
    def words(self) -> str:
        """The filters in a row, for a sentence; empty where every take passes."""
        parts = (
            f"“{self.text.strip()}”" if self.text.strip() else "",
            self.lot or "",
            self.verdict.value if self.verdict else "",
            self.kind.value if self.kind else "",
        )
        return ", ".join(part for part in parts if part)

    def with_text(self, text: str) -> "RecordsQuery":
        """Return it for another text."""
        return replace(self, text=text)

    def with_lot(self, lot: str) -> "RecordsQuery":
        """Return it for a lot; an empty one for all."""
        return replace(self, lot=lot or None)

    def with_verdict(self, verdict: str) -> "RecordsQuery":
        """Return it for a verdict by its words; an empty one for all."""
        return replace(self, verdict=Verdict(verdict) if verdict else None)

    def with_kind(self, kind: str) -> "RecordsQuery":
        """Return it for a kind by its words; an empty one for all."""
        return replace(self, kind=Kind(kind) if kind else None)
