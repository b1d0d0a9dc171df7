"""The noise at the microphone, from the silence before the excitation."""

from app.measure.found import Found
from app.measure.scene import Scene
from dsp.acoustic.noise_level import noise_level
from hardware.chain.budget import pressure_budget


def silence(scene: Scene) -> Found:
    """Derive the level of the silence in third octaves."""
    heard = scene.recording.pressure_pa
    if heard is None:
        return Found()
    found = noise_level(
        heard[: scene.excitation.quiet_stop],
        sample_rate_hz=scene.excitation.sample_rate_hz,
        chain_db=pressure_budget(scene.chain.chain).standard_uncertainty,
    )
    return Found(curves={"noise": found.bands})
