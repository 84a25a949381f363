"""Columns of numbers as text, against exact decimal arithmetic (Python's decimal) one by one."""

import itertools
import re
from decimal import Decimal

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.jobs.columns import numbers, parts_of, rows, text

VALUES = st.floats(-99999, 99999) | st.sampled_from([0.0, -0.0, -0.00004, 0.00005, 100.0, 99.99996, -7.1, 1e4])


@given(st.lists(VALUES, min_size=1, max_size=40), st.integers(0, 5))
@settings(deadline=None, max_examples=150, derandomize=True)
def test_each_number_is_the_nearest_with_so_many_decimals(values, places):
    lines = rows(len(values), text("X"), numbers(np.array(values), places), text("\n")).decode().splitlines()
    assert len(lines) == len(values)
    for line, value in zip(lines, values, strict=True):
        # NISTIR 6556, 3.3.2.1: a sign, digits, a point; no exponent.
        assert re.fullmatch(r"X-?(0|[1-9][0-9]*)(\.[0-9]*[1-9])?", line)
        assert line != "X-0"
        found = Decimal(line[1:])
        assert -found.as_tuple().exponent <= places
        half = Decimal(1).scaleb(-places) / 2
        assert abs(found - Decimal(value)) <= half * (1 + Decimal("1e-6"))


def test_pieces_are_written_in_their_rows_only():
    odd = np.array([True, False, True])
    made = rows(3, text("a").where(odd), numbers(np.array([1.5, -20.0, 0.0]), 2), text("é").where(~odd), text(";"))
    assert made.decode() == "a1.5;-20é;a0;"


def test_parts_hold_whole_runs_and_all_of_them():
    runs = np.concatenate([[0], np.cumsum(np.random.default_rng(1).integers(2, 90, 500))])
    parts = parts_of(runs, 3, 480, 400)
    assert parts[0][0] == 3 and parts[-1][1] == 480
    assert all(a[1] == b[0] for a, b in itertools.pairwise(parts))
    assert max(runs[b] - runs[a] for a, b in parts) <= 400
    assert parts_of(np.array([0, 1000]), 0, 1, 400) == [(0, 1)]
