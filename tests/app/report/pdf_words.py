"""The words on a page that was printed, read from the file itself."""

import re
import zlib
from pathlib import Path

_STREAM = re.compile(rb"stream\r?\n(.*?)\r?\nendstream", re.DOTALL)
_SHOWN = re.compile(rb"\[(.*?)\]\s*TJ|(\((?:[^()\\]|\\.)*\))\s*Tj", re.DOTALL)
_STRING = re.compile(rb"\(((?:[^()\\]|\\.)*)\)", re.DOTALL)


def pdf_words(file: Path) -> str:
    """Return what a PDF shows, string after string (ISO 32000-1, 9.4.3: Tj and TJ).

    Letters outside Latin-1 come as control characters, and break a word.
    """
    words = []
    for stream in _STREAM.finditer(file.read_bytes()):
        try:
            content = zlib.decompress(stream[1])
        except zlib.error:  # not compressed: an image, or none of ours
            continue
        for shown in _SHOWN.finditer(content):
            parts = _STRING.findall(shown[1] if shown[1] is not None else shown[2])
            words.append(re.sub(rb"\\([()\\])", rb"\1", b"".join(parts)).decode("latin-1"))
    return " ".join(words)
