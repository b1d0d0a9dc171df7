"""Orders are read while others are done: what is stopped or overtaken is known at once."""

import os
import threading
from collections.abc import Iterator
from typing import BinaryIO

import pytest

from app.desktop.engine import orders as orders_module
from app.desktop.engine.messages import Order, write_frame
from app.desktop.engine.orders import Orders


@pytest.fixture
def window(monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[BinaryIO, Orders]]:
    """The window's end of a pipe, and what hears it; at its end no process is ended here."""
    left = threading.Event()
    monkeypatch.setattr(orders_module, "sleep", lambda _: left.wait(20))
    monkeypatch.setattr(os, "_exit", lambda _: None)
    out, into = os.pipe()
    with os.fdopen(into, "wb") as pipe, os.fdopen(out, "rb") as heard:
        orders = Orders(heard)
        yield pipe, orders
        pipe.close()
        left.set()
        orders._thread.join()


def order(pipe: BinaryIO, kind: Order, number: int) -> None:
    write_frame(pipe, kind=kind, number=number, what=None)


def test_an_order_is_the_newest_until_another_comes(window: tuple[BinaryIO, Orders]) -> None:
    pipe, orders = window
    order(pipe, Order.LISTEN, 1)
    assert orders.next() is not None
    assert orders.is_newest(1)
    order(pipe, Order.HUSH, 2)
    assert orders.next() is not None
    assert not orders.is_newest(1)


def test_stop_reaches_what_plays_and_is_no_newer_order(window: tuple[BinaryIO, Orders]) -> None:
    pipe, orders = window
    stopped = threading.Event()
    order(pipe, Order.MAKE, 1)
    assert orders.next() is not None
    orders.hold(stopped.set, number=1)
    assert not stopped.is_set()
    order(pipe, Order.STOP, 1)
    assert stopped.wait(20)
    assert orders.is_newest(1)


def test_what_was_stopped_before_it_began_is_stopped_as_it_begins(
    window: tuple[BinaryIO, Orders],
) -> None:
    pipe, orders = window
    order(pipe, Order.MAKE, 1)
    order(pipe, Order.STOP, 1)
    order(pipe, Order.MAKE, 2)
    assert orders.next() is not None
    assert orders.next() is not None  # so Stop has been read
    first, second = threading.Event(), threading.Event()
    orders.hold(first.set, number=1)
    orders.hold(second.set, number=2)
    assert first.is_set()
    assert not second.is_set()


def test_the_end_of_the_window_stops_everything_and_asks_to_leave(
    window: tuple[BinaryIO, Orders],
) -> None:
    pipe, orders = window
    stopped = threading.Event()
    orders.hold(stopped.set, number=9)
    pipe.close()
    assert orders.next() is None
    assert stopped.is_set()
    assert not orders.is_newest(9)
