"""Where a residual may be heard: not on the output that drives the unit, however it is called."""

import numpy as np
import pytest

from app.errors import BadInputError
from app.measure.auralise import Outlet, outlet_request
from dsp.defects.slowed import Slowed
from hardware.chain.ceiling import output_ceiling
from hardware.chain.schema import Device
from hardware.chain.snapshot import ChainSnapshot
from tests.app.records.made_takes import CHAIN

SOUND = Slowed(samples=np.array([0.0, 1.0, -1.0]), sample_rate_hz=48000, slower=1, pascal=1.0)


def on_card(*, max_terminal_v_rms: float = 6.0) -> ChainSnapshot:
    chain = CHAIN.chain
    drive = chain.output.drive.model_copy(update={"max_terminal_v_rms": max_terminal_v_rms})
    output = chain.output.model_copy(update={"drive": drive})
    device = Device(backend="soundcard", name="Bench card 2", sample_rate=48000)
    changed = chain.model_copy(update={"device": device, "output": output})
    return CHAIN.model_copy(update={"chain": changed})


@pytest.mark.parametrize("card", [None, "Bench card 2", "bench", "Bench card 2 (ALSA)"])
def test_the_driven_output_is_refused_by_whatever_name_the_card_goes(card: str | None) -> None:
    chain = on_card()
    channel = chain.chain.output.drive.channel
    with pytest.raises(BadInputError, match="drives the unit"):
        outlet_request(SOUND, chain=chain, outlet=Outlet(channel=channel, card=card))


def test_another_card_may_play_on_the_same_number() -> None:
    chain = on_card()
    outlet = Outlet(channel=chain.chain.output.drive.channel, card="headphones")
    request = outlet_request(SOUND, chain=chain, outlet=outlet)
    assert np.max(np.abs(request.output)) == pytest.approx(0.01)


def test_nothing_leaves_that_the_unit_could_not_stand() -> None:
    chain = on_card(max_terminal_v_rms=0.05)
    limit = output_ceiling(chain.chain)
    outlet = Outlet(channel=2, card="headphones", peak_dbfs=-20.0)
    request = outlet_request(SOUND, chain=chain, outlet=outlet)
    assert limit < 0.01
    assert request.ceiling == limit
    assert np.max(np.abs(request.output)) == pytest.approx(limit)
