"""What one channel holds of an excitation, order by order: where all excitations meet."""

from dataclasses import dataclass

from dsp.arrays import Complexes, Floats, read_only


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Harmonics:
    """Phasors of the orders 1 to K at each fundamental frequency, in one channel.

    Row ``n - 1`` holds order n: at a drive of ``peak_v sin(2 pi f t + a)`` the channel holds
    ``sum over n of sqrt(2) Re(amplitude[n - 1] e^(j n (2 pi f t + a - pi/2)))``. So the phase of
    row 0 is the channel's phase relative to the drive, and a channel that repeats the drive has
    ``amplitude[0] = peak_v / sqrt(2)``, real.

    Attributes
    ----------
    frequency_hz : (m,) array
        Hz, strictly rising.
    amplitude : (k, m) complex array
        rms, in the channel's unit (Pa, A or V); NaN where an order cannot be read
        (beyond the Nyquist frequency or outside the band of the excitation).
    noise : (k, m) array
        Standard deviation of the real (equally of the imaginary) part of ``amplitude``, from
        the noise of the recording alone, same unit.
    """

    frequency_hz: Floats
    amplitude: Complexes
    noise: Floats

    def __post_init__(self) -> None:
        for name in ("frequency_hz", "amplitude", "noise"):
            object.__setattr__(self, name, read_only(getattr(self, name)))

    @property
    def fundamental(self) -> Complexes:
        """Order 1, (m,), rms."""
        first: Complexes = self.amplitude[0]
        return first

    def scaled(self, by: float) -> "Harmonics":
        """Return the same in another unit.

        Parameters
        ----------
        by : float
            New units for one of this, above 0.

        Returns
        -------
        Harmonics
        """
        return Harmonics(
            frequency_hz=self.frequency_hz,
            amplitude=self.amplitude * by,
            noise=self.noise * by,
        )
