"""Column types that both databases hold alike: moments in UTC, and small JSON documents."""

import json
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import DateTime, Dialect, Text
from sqlalchemy.types import TypeDecorator

# Compared by code points, as SQLite does: the order of a language passes over spaces and case.
Word = Text().with_variant(Text(collation="C"), "postgresql")


class UtcTime(TypeDecorator[datetime]):
    """A moment to the microsecond; aware on both ways, kept as UTC."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Turn into UTC; SQLite has no time zones and keeps the bare digits."""
        if value is None:
            return None
        utc = value.astimezone(UTC)
        return utc.replace(tzinfo=None) if dialect.name == "sqlite" else utc

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:  # noqa: ARG002
        """Give the zone back."""
        if value is None:
            return None
        utc: datetime = value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)
        return utc


class JsonText(TypeDecorator[Any]):
    """JSON as text: a database's own JSON type refuses NaN and may reorder or round."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> str:  # noqa: ARG002
        """Write the document."""
        return json.dumps(value, ensure_ascii=False, separators=(",", ":"))

    def process_result_value(self, value: Any, dialect: Dialect) -> Any:  # noqa: ARG002
        """Read the document."""
        return [] if value == "[]" else json.loads(value)  # most lists of warnings are empty
