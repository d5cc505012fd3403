from concurrent.futures import Future, ThreadPoolExecutor

import pytest

from service.desk.turns import ROUNDS, Turns
from service.store.errors import ConcurrencyGaveUp


def test_a_stream_waits_for_its_turn_and_another_does_not() -> None:
    turns = Turns()
    with ThreadPoolExecutor(2) as pool:

        def while_inside() -> tuple[bool, str]:
            same = pool.submit(turns.take, "class-k1", lambda: "same")
            other = pool.submit(turns.take, "class-k2", lambda: "other").result()
            waiting.append(same)
            return same.done(), other

        waiting: list[Future[str]] = []
        assert turns.take("class-k1", while_inside) == (False, "other")
        assert waiting[0].result() == "same"


def test_others_who_are_faster_are_waited_out() -> None:
    left = [ROUNDS - 1]

    def faster_others() -> str:
        if left[0]:
            left[0] -= 1
            raise ConcurrencyGaveUp("class-k1", 3)
        return "done"

    assert Turns().take("class-k1", faster_others) == "done"


def test_others_who_are_always_faster_are_not_waited_out_for_ever() -> None:
    def always_faster() -> None:
        raise ConcurrencyGaveUp("class-k1", 3)

    with pytest.raises(ConcurrencyGaveUp):
        Turns().take("class-k1", always_faster)
