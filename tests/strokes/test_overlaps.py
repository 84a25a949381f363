"""Overlapping pairs through the grid against every pair looked at, by the same geometry written for whole arrays."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.strokes.overlaps import overlaps

TOLERANCE, LEAST = 0.02, 0.08


def of_all_pairs(ends, pen, is_new):
    """{(later, earlier): (from, to)}."""
    earlier, later = np.triu_indices(len(ends), 1)
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    use = (pen[later] == pen[earlier]) & (length[later] > 0) & (length[earlier] > 0) & (is_new[later] | is_new[earlier])
    later, earlier = later[use], earlier[use]
    along = (ends[earlier, 1] - ends[earlier, 0]) / length[earlier, None]
    offset = ends[later] - ends[earlier, :1]
    u = (offset * along[:, None]).sum(axis=2)
    v = offset[..., 1] * along[:, None, 0] - offset[..., 0] * along[:, None, 1]
    du = u[:, 1] - u[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        at = np.stack([-u[:, 0] / du, (length[earlier] - u[:, 0]) / du], axis=1)
    low, high = np.clip(at.min(axis=1), 0, 1), np.clip(at.max(axis=1), 0, 1)
    off = np.maximum(*(np.abs(v[:, 0] + share * (v[:, 1] - v[:, 0])) for share in (low, high)))
    found = (du != 0) & (off <= TOLERANCE) & ((high - low) * length[later] > LEAST)
    return {
        (int(k), int(e)): (a, b)
        for k, e, a, b in zip(later[found], earlier[found], low[found], high[found], strict=True)
    }


@st.composite
def segments(draw):
    """On a few lines in all directions, level, plumb and all but plumb among them, a hair aside; most short, some across the
    whole field, some without length; all in one heap or far apart."""
    random = np.random.default_rng(draw(st.integers(0, 100_000)))
    count = draw(st.integers(2, 120))
    angle = random.choice([0.0, np.pi / 2, np.pi / 2 + 1e-9, np.pi / 2 - 3e-7, 0.6, 2.2], count)
    along = np.column_stack([np.cos(angle), np.sin(angle)])
    across = along[:, ::-1] * [-1, 1]
    field = random.choice([5.0, 300.0])
    foot = random.integers(0, 4, (count, 1)) * field / 4 * across + random.uniform(-0.03, 0.03, (count, 1)) * across
    a = random.uniform(-field, field, count)
    size = random.choice([0.0, 0.1, 2.0, field], count) * random.uniform(0.5, 1, count) * random.choice([-1, 1], count)
    ends = np.stack([foot + a[:, None] * along, foot + (a + size)[:, None] * along], axis=1)
    return (
        ends,
        random.integers(0, 2, count).astype(np.int32),
        random.random(count) < draw(st.sampled_from([0.2, 1.0])),
    )


@given(segments())
@settings(deadline=None, max_examples=200, derandomize=True)
def test_the_grid_misses_no_pair(case):
    ends, pen, is_new = case
    wanted = of_all_pairs(ends, pen, is_new)
    later, earlier, low, high = overlaps(ends, pen, is_new, TOLERANCE, LEAST)
    pairs = list(zip(later.tolist(), earlier.tolist(), strict=True))
    assert pairs == sorted(wanted)
    np.testing.assert_allclose(
        np.column_stack([low, high]).reshape(-1, 2), [wanted[p] for p in pairs] or np.zeros((0, 2))
    )


def test_progress_rises():
    received = []
    line = np.cumsum(np.random.default_rng(1).uniform(-1, 1, (5000, 2)), axis=0)
    ends = np.stack([line[:-1], line[1:]], axis=1)
    overlaps(ends, np.zeros(4999, np.int32), np.ones(4999, bool), TOLERANCE, LEAST, received.append)
    assert len(received) > 20 and np.all(np.diff(received) >= 0) and received[-1] == 1.0
