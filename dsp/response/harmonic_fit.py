"""Joint least squares of a steady level and K harmonics to each of many tones."""

from dataclasses import dataclass

import numpy as np

from dsp.arrays import Complexes, Floats, Ints, read_only

# Above this part of the sample rate converters' filters fold and fade: nothing is read there.
HIGHEST = 0.47


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class HarmonicFit:
    """What the fit found, tone by tone; phases count from the middle of each hold.

    Attributes
    ----------
    phasor : (m, k) complex array
        Peak, in the channel's unit; order n holds Re(phasor e^(j n w t)), t = 0 in the middle of
        the hold; 0 beyond ``orders``.
    spread : (m, k) array
        Standard deviation of the real part and of the imaginary part (their rms) of ``phasor``
        for noise of standard deviation 1 a sample.
    orders : (m,) array of int
        How many orders each tone has room for.
    residuals : tuple of (samples,) arrays
        What the fit left of each hold.
    """

    phasor: Complexes
    spread: Floats
    orders: Ints
    residuals: tuple[Floats, ...]

    def __post_init__(self) -> None:
        for name in ("phasor", "spread", "orders"):
            object.__setattr__(self, name, read_only(getattr(self, name)))


def harmonic_fit(holds: list[Floats], *, cycles_a_sample: Floats, orders: int) -> HarmonicFit:
    """Fit each hold with a steady level and the harmonics of its own known frequency.

    Any length and any frequency will do; on whole periods in whole samples this is the discrete
    Fourier transform. Counted from the middle of a hold, cosines and sines part into two small
    real systems whose matrices are sums of a geometric series, so no trigonometric matrix of the
    length of the recording is ever built.

    Parameters
    ----------
    holds : list of m (samples,) arrays
        One stretch of the channel for each tone, at least two periods long, any unit.
    cycles_a_sample : (m,) array
        Frequency of each tone over the sample rate.
    orders : int
        K; a tone gets fewer where they would lie above 0.47 of the sample rate.

    Returns
    -------
    HarmonicFit

    References
    ----------
    IEEE Std 1057, sine fit at known frequency, here with harmonics.
    """
    room = np.clip(np.floor(HIGHEST / cycles_a_sample + 1e-9), 0, orders).astype(np.int64)
    tables = [
        _tables(hold.size, cycles_a_sample=float(cycles), orders=int(k))
        for hold, cycles, k in zip(holds, cycles_a_sample, room, strict=True)
    ]
    moments = np.zeros((len(holds), orders + 1), dtype=np.complex128)
    for j, (hold, table) in enumerate(zip(holds, tables, strict=True)):
        moments[j, : room[j] + 1] = table.moments(hold)
    lengths = np.array([hold.size for hold in holds])
    cosines, sines = _inverses(lengths, cycles_a_sample=cycles_a_sample, room=room, orders=orders)
    # Re(p e^(jnwt)) = Re(p) cos - Im(p) sin; the moments hold conj: sum y (cos - j sin).
    level_and_cosine = np.einsum("jab,jb->ja", cosines, moments.real)
    sine = np.einsum("jab,jb->ja", sines, moments.imag[:, 1:])
    coefficients = level_and_cosine.astype(np.complex128)
    coefficients[:, 1:] += 1j * sine
    variance = np.einsum("jaa->ja", cosines)[:, 1:] + np.einsum("jaa->ja", sines)
    return HarmonicFit(
        phasor=coefficients[:, 1:],
        spread=np.sqrt(variance / 2),
        orders=room,
        residuals=tuple(
            hold - table.wave(coefficients[j, : room[j] + 1], samples=hold.size)
            for j, (hold, table) in enumerate(zip(holds, tables, strict=True))
        ),
    )


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Tables:
    """e^(j n w t) over a hold as a product: sample q M + r has column q times column r."""

    coarse: Complexes  # (k + 1, q), starts half a hold before zero
    fine: Complexes  # (k + 1, M)

    def moments(self, hold: Floats) -> Complexes:
        rows, columns = self.coarse.shape[1], self.fine.shape[1]
        padded = np.zeros(rows * columns)
        padded[: hold.size] = hold
        block = padded.reshape(rows, columns).T
        inner = self.fine.real @ block - 1j * (self.fine.imag @ block)
        total: Complexes = np.einsum("kq,kq->k", inner, self.coarse.conj())
        return total

    def wave(self, coefficients: Complexes, *, samples: int) -> Floats:
        left = coefficients[:, None] * self.coarse
        block = left.real.T @ self.fine.real - left.imag.T @ self.fine.imag
        out: Floats = block.reshape(-1)[:samples]
        return out


def _tables(samples: int, *, cycles_a_sample: float, orders: int) -> _Tables:
    columns = int(np.ceil(np.sqrt(samples)))
    rows = -(-samples // columns)

    def powers(at: Floats) -> Complexes:
        once = np.exp(2j * np.pi * cycles_a_sample * at)
        table = np.ones((orders + 1, at.size), dtype=np.complex128)
        for order in range(1, orders + 1):
            np.multiply(table[order - 1], once, out=table[order])
        return table

    return _Tables(
        coarse=powers(columns * np.arange(rows, dtype=np.float64) - (samples - 1) / 2),
        fine=powers(np.arange(columns, dtype=np.float64)),
    )


def _inverses(
    lengths: Ints, *, cycles_a_sample: Floats, room: Ints, orders: int
) -> tuple[Floats, Floats]:
    # Sum over a hold of cos(p w t), t from its middle, is sin(p w N / 2) / sin(p w / 2).
    order = np.arange(orders + 1)
    half = np.pi * cycles_a_sample[:, None] * np.arange(2 * orders + 1)
    inside = np.arange(2 * orders + 1) <= 2 * room[:, None]
    below = np.where(inside & (half > 0), np.sin(half), 1.0)
    sums = np.where(inside, np.sin(half * lengths[:, None]) / below, 0.0)
    sums[:, 0] = lengths
    toeplitz = sums[:, np.abs(order[:, None] - order)]
    hankel = sums[:, order[:, None] + order]
    used = order <= room[:, None]
    both = used[:, :, None] & used[:, None, :]
    eye = np.eye(orders + 1)

    def inverse(matrix: Floats) -> Floats:
        # Orders without room get a row of their own, so that all tones share one shape.
        padded = np.where(both, matrix, eye)
        out: Floats = np.linalg.inv(padded)
        return out

    cosines = inverse((toeplitz + hankel) / 2)
    sine_matrix = (toeplitz - hankel) / 2
    sine_matrix[:, 0, 0] = 1.0
    return cosines, inverse(sine_matrix)[:, 1:, 1:]
