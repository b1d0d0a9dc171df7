"""Which audio files the database knows."""

from collections.abc import Iterable

from sqlalchemy import Connection, select

from app.records import tables


def known_audio(hashes: Iterable[str], *, on: Connection) -> set[str]:
    """Return those of ``hashes`` that are samples of an excitation's file."""
    column = tables.audio_files.c.sha256
    return set(on.execute(select(column).where(column.in_(list(hashes)))).scalars())


def known_captures(hashes: Iterable[str], *, on: Connection) -> set[str]:
    """Return those of ``hashes`` that are recordings."""
    column = tables.captures.c.sha256
    return set(on.execute(select(column).where(column.in_(list(hashes)))).scalars())
