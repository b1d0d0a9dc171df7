"""What crosses between the two processes arrives as it was sent, or not at all."""

import io

import numpy as np
import pytest

from app.desktop.engine.messages import Order, read_frame, write_frame
from app.procedure.shipped import demo_chain


def sent(what: object) -> bytes:
    pipe = io.BytesIO()
    write_frame(pipe, kind=Order.LISTEN, number=7, what=what)
    return pipe.getvalue()


def test_a_frame_comes_back_as_it_was_sent() -> None:
    pipe = io.BytesIO(sent(demo_chain()) + sent("next"))
    first, second = read_frame(pipe), read_frame(pipe)
    assert first is not None
    assert second is not None
    assert (first.kind, first.number) == (Order.LISTEN, 7)
    assert first.what() == demo_chain()
    assert second.what() == "next"
    assert read_frame(pipe) is None


def test_what_nobody_may_change_cannot_be_changed_after_the_journey() -> None:
    curve = np.linspace(0.0, 1.0, 5)
    curve.flags.writeable = False
    frame = read_frame(io.BytesIO(sent(curve)))
    assert frame is not None
    arrived = frame.what()
    assert isinstance(arrived, np.ndarray)
    assert not arrived.flags.writeable
    assert arrived.tobytes() == curve.tobytes()


@pytest.mark.parametrize("missing", [1, 20])
def test_a_frame_that_was_cut_off_is_the_end(missing: int) -> None:
    whole = sent("something of some length")
    assert read_frame(io.BytesIO(whole[:-missing])) is None
    assert read_frame(io.BytesIO(whole[:3])) is None
