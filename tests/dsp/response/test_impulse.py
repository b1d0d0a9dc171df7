import numpy as np

from dsp.response.impulse import ImpulseResponse

RATE = 48_000.0


def test_time_counts_from_where_the_impulse_was_played() -> None:
    impulse = ImpulseResponse(
        samples=np.array([0.0, 1.0, 0.0]), sample_rate_hz=RATE, zero_index=-47, arrival_index=1
    )
    np.testing.assert_allclose(impulse.time_s, np.array([47, 48, 49]) / RATE)
