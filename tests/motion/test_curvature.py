"""The curvature of flattened curves, against that of the curves."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.motion.curvature import leg_curvature


@given(st.floats(2, 40), st.lists(st.floats(0.02, 0.3), min_size=4, max_size=40), st.booleans())
@settings(deadline=None, max_examples=60, derandomize=True)
def test_chords_of_any_length_of_a_circle(radius, steps, anticlockwise):
    """Exact for a circle, whatever its chords: half the turn at a vertex is half the sum of the chords' half angles."""
    angle = np.cumsum(steps) * (-1 if anticlockwise else 1)
    points = radius * np.column_stack([np.cos(angle), np.sin(angle)])
    found = leg_curvature(points, np.array([0, len(points)]))
    # Turn over mean chord: angle over sine of half of it, 0.4 % at 0.3 rad.
    assert np.abs(found[:-1] * radius * (-1 if anticlockwise else 1) - 1).max() < 0.005


@pytest.mark.parametrize("parts", [1, 5, 200])
def test_a_line_into_an_arc_stays_straight_and_the_arc_keeps_its_radius(parts):
    """A line of one piece or of pieces as short as the arc's chords, then a quarter of 20 mm radius."""
    angle = np.linspace(-np.pi / 2, 0, 40)
    arc = 20 * np.column_stack([np.cos(angle), np.sin(angle)]) + [160.0, 20.0]
    line = np.column_stack([np.linspace(0, 160, parts + 1)[:-1], np.zeros(parts)])
    points = np.concatenate([line, arc])
    found = leg_curvature(points, np.array([0, len(points)])) * 20
    assert np.abs(found[parts:-1] - 1).max() < 0.005
    # Where the line's pieces are no longer than the chords, its last one is not told from the arc's begin.
    assert np.abs(found[: parts - (parts == 200)]).max() < 1e-9


@given(
    st.floats(1e-5, 3e-3),
    st.floats(0.2, 2.0),
    st.floats(0, 1),
    st.lists(st.floats(0.85, 1.15), min_size=40, max_size=40),
)
@settings(deadline=None, max_examples=40, derandomize=True)
def test_a_curve_that_turns_to_the_other_side_has_no_joint(rate, step, offset, steps):
    """A clothoid: its curvature is its arc length times a rate (Euler), and passes 0 in the middle."""
    fine = 200
    ends = np.concatenate([[0.0], np.cumsum(steps)]) * step
    ends -= ends[20] + offset * step
    s = np.concatenate([np.linspace(a, b, fine, endpoint=False) for a, b in itertools.pairwise(ends)] + [ends[-1:]])
    middle = (s[1:] + s[:-1]) / 2
    way = np.column_stack([np.cos(rate * middle**2 / 2), np.sin(rate * middle**2 / 2)]) * np.diff(s)[:, None]
    points = np.concatenate([np.zeros((1, 2)), np.cumsum(way, axis=0)])[::fine]
    found = leg_curvature(points, np.array([0, len(points)]))
    # Within a third of what the curvature changes over a leg; the first and the last have one vertex that tells of them.
    assert np.abs(found[1:-2, 0] - rate * ends[1:-2]).max() < 0.33 * rate * step
    assert np.abs(found[1:-2, 1] - rate * ends[2:-1]).max() < 0.33 * rate * step


def test_a_square_is_straight():
    points = np.array([[0.0, 0], [100, 0], [100, 100], [0, 100], [0, 0]])
    assert np.all(leg_curvature(points, np.array([0, 5])) == 0)
