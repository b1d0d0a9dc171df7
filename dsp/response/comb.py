"""A spectrum as rows of interleaved lines: then a short stretch costs many short transforms.

With N = P M samples, line P k + p of the spectrum stands in row p, column k. Of the signal, M
samples about sample 0 are

    x[n] = 1/P sum_p e^(2 pi j n p / N) ifft_M(row p)[n],

and where only those M differ from 0, row p is fft_M(x[n] e^(-2 pi j n p / N)). The rows of one call
are transformed side by side, which takes a fraction of the time of one long transform.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from dsp.arrays import Ints, read_only

_AT_ONCE = 4  # transforms that are computed side by side; each row left over costs as much as four


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Comb:
    """How lines are laid out; single precision throughout.

    Attributes
    ----------
    size : int
        Samples of the signal, even.
    teeth : int
        P above. Rows 0 to P // 2 are kept: those above mirror them, as the signal is real.
    turn : (P // 2 + 1, M) complex array
        e^(2 pi j n p / N).
    """

    size: int
    teeth: int
    turn: NDArray[np.complex64]

    def __post_init__(self) -> None:
        object.__setattr__(self, "turn", read_only(self.turn))

    def laid_out(self, spectrum: NDArray[np.inexact]) -> NDArray[np.complex64]:
        """Lay a spectrum out.

        Parameters
        ----------
        spectrum : (N / 2 + 1,) array
            Any unit.

        Returns
        -------
        (P // 2 + 1, M) complex array, that unit.
        """
        whole = np.concatenate([spectrum, np.conj(spectrum[-2:0:-1])]).astype(np.complex64)
        rows = whole.reshape(-1, self.teeth).T[: self.turn.shape[0]]
        return np.ascontiguousarray(rows)

    def places(self, lines: Ints) -> tuple[Ints, Ints]:
        """Tell where lines are, or their mirror image where that is what is kept.

        Parameters
        ----------
        lines : (m,) array of int
            0 to N / 2.

        Returns
        -------
        Rows and columns, (m,) each.
        """
        mirrored = lines % self.teeth > self.teeth // 2
        kept = np.where(mirrored, self.size - lines, lines)
        return kept % self.teeth, kept // self.teeth

    def in_line(self, rows: NDArray[np.complex64]) -> NDArray[np.complex64]:
        """Put a spectrum back in line.

        Parameters
        ----------
        rows : (P // 2 + 1, M) complex array
            Laid out, any unit.

        Returns
        -------
        (N / 2 + 1,) complex array, that unit.
        """
        lines = np.arange(self.size // 2 + 1)
        out = rows[self.places(lines)]
        mirrored = lines % self.teeth > self.teeth // 2
        np.conj(out, out=out, where=mirrored)
        return out

    def earlier(self, rows: NDArray[np.complex64], *, samples: int) -> NDArray[np.complex64]:
        """Move the signal towards its start, round its ends.

        Parameters
        ----------
        rows : (P // 2 + 1, M) complex array
            Its spectrum, laid out.
        samples : int
            By how many; negative: towards its end.

        Returns
        -------
        (P // 2 + 1, M) complex array
        """
        angle = 2j * np.pi * samples / self.size
        by_row = np.exp(angle * np.arange(rows.shape[0])).astype(np.complex64)
        by_column = np.exp(angle * self.teeth * np.arange(rows.shape[1])).astype(np.complex64)
        out: NDArray[np.complex64] = rows * by_row[:, None] * by_column
        return out

    def stretch(self, rows: NDArray[np.complex64]) -> NDArray[np.float32]:
        """Compute the samples about sample 0.

        Parameters
        ----------
        rows : (P // 2 + 1, M) complex array
            Spectrum of a real signal, laid out.

        Returns
        -------
        (M,) array; the last ones, as many as ``comb`` was told, lie before sample 0.
        """
        turned = fft.ifft(rows, axis=1)
        turned *= self.turn
        once = turned[0].real
        if self.teeth % 2 == 0:
            once = once + turned[-1].real  # this row, too, is its own mirror image
        twice = np.sum(turned[1 : (self.teeth + 1) // 2].real, axis=0)
        out: NDArray[np.float32] = (once + 2 * twice) / np.float32(self.teeth)
        return out

    def spectrum(self, stretch: NDArray[np.float32]) -> NDArray[np.complex64]:
        """Compute the spectrum of a signal that is 0 everywhere but about sample 0.

        Parameters
        ----------
        stretch : (M,) array
            As ``stretch`` gives it.

        Returns
        -------
        (P // 2 + 1, M) complex array, laid out.
        """
        out: NDArray[np.complex64] = fft.fft(stretch * np.conj(self.turn), axis=1)
        return out


def comb(size: int, *, before: int, after: int) -> Comb:
    """Lay out a spectrum for stretches that reach so far to either side of sample 0.

    Parameters
    ----------
    size : int
        Samples of the signal, even, a product of small primes.
    before, after : int
        Samples; together at most ``size``.

    Returns
    -------
    Comb
    """
    widest = size // max(before + after, 1)
    counts = [count for count in range(1, widest + 1) if size % count == 0]
    teeth = min(counts, key=lambda count: _effort(count // 2 + 1, size // count))
    place = np.arange(size // teeth)
    sample = np.where(place < place.size - before, place, place - place.size)
    turn = np.exp(2j * np.pi / size * np.outer(np.arange(teeth // 2 + 1), sample))
    return Comb(size=size, teeth=teeth, turn=turn.astype(np.complex64))


def _effort(rows: int, columns: int) -> float:
    groups = rows // _AT_ONCE + rows % _AT_ONCE
    return groups * columns * math.log2(columns)
