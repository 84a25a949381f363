"""Reductions column by column give what numpy gives row by row."""

import gc

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from wallwright.document.columns import column_max, column_min, row_all, row_max, row_min
from wallwright.document.garbage import collection_paused

numbers = arrays(
    float,
    st.tuples(st.integers(1, 6), st.integers(1, 4)),
    elements=st.floats(allow_nan=True, allow_infinity=True),
)


@given(numbers)
def test_as_numpy_finds_them(values):
    assert np.array_equal(column_max(values), values.max(axis=0), equal_nan=True)
    assert np.array_equal(column_min(values), values.min(axis=0), equal_nan=True)
    assert np.array_equal(row_max(values), values.max(axis=1), equal_nan=True)
    assert np.array_equal(row_min(values), values.min(axis=1), equal_nan=True)
    assert np.array_equal(row_all(values > 0), (values > 0).all(axis=1))


@pytest.mark.parametrize("was_enabled", [True, False])
def test_the_collector_is_as_it_was_even_after_an_error(was_enabled):
    (gc.enable if was_enabled else gc.disable)()
    try:
        with pytest.raises(ZeroDivisionError), collection_paused():
            assert not gc.isenabled()
            raise ZeroDivisionError
        assert gc.isenabled() == was_enabled
    finally:
        gc.enable()
