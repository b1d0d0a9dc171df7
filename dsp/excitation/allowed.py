"""What every excitation refuses: rates, spans and strengths that cannot be played."""

from dsp.errors import DspError


def require_positive(where: str, **values: float) -> None:
    """Refuse values that are not finite and above 0.

    Parameters
    ----------
    where : str
        The function that refuses.
    **values : float
        Any unit; the names stand in the message.

    Raises
    ------
    DspError
        The first value that is not above 0, or not finite.
    """
    for name, value in values.items():
        if not 0 < value < float("inf"):
            raise DspError(where, f"{name} outside", given=value, allowed="above 0, finite")


def require_playable(where: str, *, sample_rate_hz: float, **frequencies: float) -> None:
    """Refuse a sample rate that is none, and frequencies that it cannot hold.

    Parameters
    ----------
    where : str
        The function that refuses.
    sample_rate_hz : float
        Hz.
    **frequencies : float
        Hz; the names stand in the message.

    Raises
    ------
    DspError
        A frequency not between 0 and half the sample rate, both excluded.
    """
    require_positive(where, sample_rate_hz=sample_rate_hz)
    for name, value in frequencies.items():
        if not 0 < value < sample_rate_hz / 2:
            allowed = f"above 0, below {sample_rate_hz / 2:g} Hz"
            raise DspError(where, f"{name} outside", given=value, allowed=allowed)


def require_span(where: str, *, start_hz: float, stop_hz: float, sample_rate_hz: float) -> None:
    """Refuse a span that does not rise, or does not fit under half the sample rate.

    Parameters
    ----------
    where : str
        The function that refuses.
    start_hz, stop_hz, sample_rate_hz : float
        Hz.

    Raises
    ------
    DspError
        ``stop_hz`` not above ``start_hz``, or either outside what the rate can hold.
    """
    require_playable(where, sample_rate_hz=sample_rate_hz, start_hz=start_hz, stop_hz=stop_hz)
    if stop_hz <= start_hz:
        raise DspError(where, "stop_hz outside", given=stop_hz, allowed=f"above {start_hz:g} Hz")
