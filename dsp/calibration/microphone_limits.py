"""What a microphone's calibration is held against: what is known of it, and what is allowed."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What is known of the microphone from elsewhere.

    Attributes
    ----------
    before_v_per_pa : float or None
        V/Pa, from the last accepted calibration, or as the chain states it.
    certificate_v_per_pa : float or None
        V/Pa, from the microphone's own certificate.
    coupling_scatter_db : float or None
        dB, standard deviation of single couplings in earlier calibrations.
    coupling_degrees : float
        Degrees of freedom of ``coupling_scatter_db``, finite.
    """

    before_v_per_pa: float | None = None
    certificate_v_per_pa: float | None = None
    coupling_scatter_db: float | None = None
    coupling_degrees: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MicrophoneLimits:
    """Beyond which a calibration is refused.

    Attributes
    ----------
    least_settled_s : float
        s, shortest part with a steady level.
    drift_db_per_s : float
        dB/s, over the settled part.
    hum_db : float
        dB re the tone.
    least_snr_db : float
        dB, tone over noise.
    spread_db : float
        dB, between the highest and the lowest coupling.
    level_db : float
        dB from what is expected; beyond, another level was played than the one named.
    history_db : float
        dB from the last calibration.
    certificate_db : float
        dB from the microphone's certificate.
    """

    least_settled_s: float = 2.0
    drift_db_per_s: float = 0.005
    hum_db: float = -40.0
    least_snr_db: float = 15.0
    spread_db: float = 0.1
    level_db: float = 3.0
    history_db: float = 0.5
    certificate_db: float = 1.0
