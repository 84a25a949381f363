"""Work in parts: the order of results, what is raised, and no thread left behind."""

import threading
import time

import pytest

from wallwright.document.errors import Cancelled
from wallwright.document.parallel import in_long_parts, in_parts


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


def test_results_of_long_parts_come_in_their_order():
    begun = []

    def work(part, report):
        begun.append(part)
        report(1.0)
        return part * 10

    assert in_long_parts(work, [1, 2, 3, 4, 5], [1.0, 2.0, 5.0, 3.0, 4.0]) == [10, 20, 30, 40, 50]
    assert begun[0] == 3, "the most costly part begins first"
    assert in_long_parts(work, [7], [0.0]) == [70]


def test_progress_is_told_in_the_calling_thread_and_never_goes_back():
    told, threads = [], set()

    def progress(done):
        told.append(done)
        threads.add(threading.get_ident())

    def work(part, report):
        for done in range(1, 5):
            report(done / 4)
        return part

    in_long_parts(work, ["a", "b"], [3.0, 1.0], progress)
    assert threads == {threading.get_ident()}
    assert told == sorted(told) and told[0] >= 0 and told[-1] <= 1


def test_a_cancel_ends_every_part_at_its_next_report():
    ended = []

    def cancel(done):
        raise Cancelled

    def work(part, report):
        try:
            while True:
                report(0.5)
        finally:
            ended.append(part)

    with pytest.raises(Cancelled):
        in_long_parts(work, ["a", "b", "c"], [1.0, 1.0, 1.0], cancel)
    assert 1 <= len(ended) <= 3


def test_what_one_part_raises_is_raised_and_ends_the_others():
    def work(part, report):
        if part == "bad":
            raise ValueError("no such tone")
        while True:
            report(0.1)

    with pytest.raises(ValueError, match="no such tone"):
        in_long_parts(work, ["good", "bad"], [1.0, 1.0])
