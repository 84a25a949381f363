"""Level lines at whole numbers beside those of contourpy."""

import numpy as np
import pytest
from contourpy import contour_generator
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.ndimage import gaussian_filter

from wallwright.strokes.pictures.level_lines import whole_level_lines


@given(st.integers(0, 10_000), st.integers(2, 14), st.integers(2, 14), st.sampled_from([0.0, 0.7, 2.0]))
@settings(deadline=None, max_examples=60, derandomize=True)
def test_level_lines_are_those_of_contourpy(seed, rows, columns, smooth):
    """At each level as many lines, as many of them closed, as long, about the same middle; rough planes have saddles."""
    plane = gaussian_filter(np.random.default_rng(seed).uniform(-4, 4, (rows, columns)), smooth)
    points, line, level = whole_level_lines(plane)
    found = np.split(points, np.flatnonzero(np.diff(line)) + 1) if len(points) else []
    assert (np.diff(level) >= 0).all() and len(level) == len(found)
    generator = contour_generator(z=plane)
    for k in range(-5, 6):
        mine = [found[i] for i in np.flatnonzero(level == k)]
        wanted = generator.lines(k)
        assert len(mine) == len(wanted)
        assert sum((p[0] == p[-1]).all() for p in mine) == sum((p[0] == p[-1]).all() for p in wanted)
        lengths, others = (sorted(np.hypot(*np.diff(p, axis=0).T).sum() for p in lines) for lines in (mine, wanted))
        assert lengths == pytest.approx(others)
        if mine:
            assert np.unique(np.concatenate(mine).round(6), axis=0) == pytest.approx(
                np.unique(np.concatenate(wanted).round(6), axis=0)
            )


def test_a_plane_without_levels_has_no_lines():
    points, line, level = whole_level_lines(np.full((5, 7), 0.5))
    assert len(points) == len(line) == len(level) == 0
