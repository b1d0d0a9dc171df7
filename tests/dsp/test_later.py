"""What comes later is made once, and not before somebody asks."""

import threading

from dsp.later import Later


def test_it_is_made_at_the_first_question_and_only_then() -> None:
    made: list[int] = []

    def make() -> int:
        made.append(threading.get_ident())
        return 7

    later = Later(make)
    assert not made
    threads = [threading.Thread(target=later) for _ in range(4)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert later() == 7
    assert len(made) == 1
    assert made[0] != threading.get_ident()


def test_what_is_known_is_answered_as_it_is() -> None:
    value = object()
    assert Later.known(value)() is value
