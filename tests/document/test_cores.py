"""Work in parts: the order of results, what is raised, and no thread left behind."""

import threading
import time

import pytest

from wallwright.document.errors import Cancelled
from wallwright.document.parallel import in_parts


def test_results_come_in_the_order_of_the_parts():
    received = []

    def work(part: int) -> int:
        time.sleep(0.02 if part % 2 else 0.0)
        return part * part

    assert in_parts(work, range(9), received.append) == [i * i for i in range(9)]
    assert received == [(i + 1) / 9 for i in range(9)]
    assert in_parts(work, []) == []


def test_a_cancel_ends_the_work_and_leaves_no_thread():
    before, done = threading.active_count(), []

    def work(part: int) -> None:
        time.sleep(0.01)
        done.append(part)

    def cancel(share: float) -> None:
        raise Cancelled

    with pytest.raises(Cancelled):
        in_parts(work, range(200), cancel)
    assert len(done) < 20
    assert threading.active_count() == before


def test_what_a_part_raises_is_raised():
    with pytest.raises(ZeroDivisionError):
        in_parts(lambda part: 1 / part, [1, 0, 2])
