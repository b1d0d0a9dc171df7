"""Recordings as lossless audio files, each named by the SHA-256 of its samples."""

import hashlib
import io
from pathlib import Path
from typing import Any

import numpy as np
import soundfile
from numpy.typing import NDArray

from app.errors import BadInputError
from app.records.durable import make_folder, sync_folder, write_synced
from dsp import Floats
from hardware.card import Capture, Samples

_LARGEST = 4_000_000_000  # bytes; a WAV file counts its length in 32 bits


def capture_hash(capture: Capture) -> str:
    """Return the SHA-256, 64 hex digits, of samples, rate and number of channels.

    What is hashed: one line ``capture float32 RATE CHANNELS`` (the rate as Python writes it), a
    line feed, then the samples, little-endian, frame by frame.
    """
    return _capture_hash(capture.samples, sample_rate_hz=capture.sample_rate_hz)


def audio_hash(samples: Floats) -> str:
    """Return the SHA-256, 64 hex digits, of one channel of an audio file, (n,).

    What is hashed: one line ``audio float64``, a line feed, then the samples, little-endian.
    """
    content = np.ascontiguousarray(samples, dtype="<f8")
    return hashlib.sha256(b"audio float64\n" + content.tobytes()).hexdigest()


class CaptureFolder:
    """The audio files of a store.

    A file stands at ``ab/abcdef….wav`` once it is whole and on the disk. Until its take is in the
    database, an empty file ``arriving/abcdef…`` says that it may yet turn out to be nobody's.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._arriving = folder / "arriving"

    def path(self, sha256: str) -> Path:
        """Return where the file of that content stands, or would."""
        return self._folder / sha256[:2] / f"{sha256}.wav"

    def add_capture(self, capture: Capture, *, sha256: str) -> None:
        """Put a recording on the disk, float32, all channels; one that is there stays."""
        path, rate = self.path(sha256), capture.sample_rate_hz
        if path.is_file() and _is_whole(path, sha256=sha256, sample_rate_hz=rate):
            return
        self._add(capture.samples, sha256=sha256, sample_rate_hz=rate, subtype="FLOAT")

    def add_audio(self, samples: Floats, *, sha256: str, sample_rate_hz: float) -> None:
        """Put the samples of an audio file on the disk, (n,), float64; what is there stays."""
        path = self.path(sha256)
        if not path.is_file() or audio_hash(_read(path, dtype="float64")[:, 0]) != sha256:
            self._add(samples, sha256=sha256, sample_rate_hz=sample_rate_hz, subtype="DOUBLE")

    def samples(self, sha256: str, *, sample_rate_hz: float, verify: bool) -> Samples:
        """Read a recording back, (n, channels); ``verify`` compares its hash with its name.

        Raises
        ------
        BadInputError
            Missing, damaged, or not what it was.
        """
        path = self.path(sha256)
        samples: Samples = _read(path, dtype="float32")
        if verify and _capture_hash(samples, sample_rate_hz=sample_rate_hz) != sha256:
            raise _changed(path)
        return samples

    def audio(self, sha256: str) -> Floats:
        """Read the samples of an audio file back, (n,), and compare them with their hash.

        Raises
        ------
        BadInputError
            Missing, damaged, or not what it was.
        """
        path = self.path(sha256)
        samples: Floats = _read(path, dtype="float64")[:, 0]
        if audio_hash(samples) != sha256:
            raise _changed(path)
        return samples

    def expect(self, hashes: set[str]) -> None:
        """Note what is about to arrive, while nobody else can."""
        make_folder(self._arriving)
        for sha256 in hashes:
            if not self.path(sha256).exists():
                (self._arriving / sha256).touch()

    def arrived(self, hashes: set[str]) -> None:
        """Note that the take to which the files belong is in the database."""
        for sha256 in hashes:
            (self._arriving / sha256).unlink(missing_ok=True)

    def leftovers(self) -> set[str]:
        """Return the hashes of what a process that died, or failed, has left half-way."""
        if not self._arriving.is_dir():
            return set()
        return {left.stem for left in self._arriving.iterdir()}

    def sweep(self, *, kept: set[str]) -> None:
        """Remove what was arriving and belongs to no take, while nobody else keeps one."""
        for sha256 in self.leftovers():
            if sha256 not in kept:
                self.path(sha256).unlink(missing_ok=True)
            for name in (f"{sha256}.part", sha256):
                (self._arriving / name).unlink(missing_ok=True)

    def _add(
        self, samples: NDArray[Any], *, sha256: str, sample_rate_hz: float, subtype: str
    ) -> None:
        path = self.path(sha256)
        if samples.nbytes > _LARGEST:
            raise BadInputError(
                str(path), "too long", given=f"{samples.nbytes} bytes", allowed=f"{_LARGEST} bytes"
            )
        # In memory first: libsndfile does not tell a full disk from any other mishap.
        content = io.BytesIO()
        soundfile.write(content, samples, round(sample_rate_hz), format="WAV", subtype=subtype)
        make_folder(path.parent)
        part = self._arriving / f"{sha256}.part"
        write_synced(part, content.getbuffer())
        part.replace(path)
        sync_folder(path.parent)


def _read(path: Path, *, dtype: str) -> Any:
    try:
        return soundfile.read(path, dtype=dtype, always_2d=True)[0]
    except (OSError, soundfile.LibsndfileError) as error:
        missing = "the file is missing" if not path.exists() else "the file is damaged"
        raise BadInputError(str(path), missing) from error


def _is_whole(path: Path, *, sha256: str, sample_rate_hz: float) -> bool:
    try:
        samples = _read(path, dtype="float32")
    except BadInputError:
        return False
    return _capture_hash(samples, sample_rate_hz=sample_rate_hz) == sha256


def _capture_hash(samples: Samples, *, sample_rate_hz: float) -> str:
    head = f"capture float32 {float(sample_rate_hz)!r} {samples.shape[1]}\n".encode()
    found = hashlib.sha256(head)
    found.update(np.ascontiguousarray(samples, dtype="<f4").data)
    return found.hexdigest()


def _changed(path: Path) -> BadInputError:
    return BadInputError(str(path), "the samples are not those that were kept")
