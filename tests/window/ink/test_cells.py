"""Finding and cutting segments; shapely says which segments touch a box and what part lies inside."""

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.window.ink.cells import SegmentGrid, bounds_of
from wallwright.window.ink.clipping import clip

quick = settings(deadline=None, max_examples=60, derandomize=True)


def _random_segments(seed: int, count: int) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    start = rng.random((count, 2)) * (900, 400) - 100
    length = 10.0 ** rng.uniform(-1, 2.8, count)
    angle = rng.choice([0, np.pi / 2, 0.3, 1.2, 4.0], count)
    return start, start + length[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])


def _lines(start: np.ndarray, end: np.ndarray) -> np.ndarray:
    return shapely.linestrings(np.stack([start, end], axis=1))


@quick
@given(
    st.integers(0, 10**6),
    st.floats(-300, 900),
    st.floats(-300, 600),
    st.floats(0.1, 600),
    st.floats(0.1, 600),
)
def test_every_segment_that_touches_a_box_is_found(seed, left, top, width, height):
    start, end = _random_segments(seed, 400)
    pen = np.arange(400) % 3
    cells = SegmentGrid(np.concatenate([start, end]), np.arange(400), np.arange(400) + 400, pen)
    touching = shapely.intersects(_lines(start, end), shapely.box(left, top, left + width, top + height))
    for p in cells.pens:
        found = set((cells.near(p, left, top, left + width, top + height)[1] - 400).tolist())
        assert set(np.flatnonzero(touching & (pen == p)).tolist()) <= found
        assert all(pen[i] == p for i in found)


def test_a_small_box_of_many_looks_at_few():
    start, end = _random_segments(3, 50_000)
    end = start + 0.02 * (end - start)  # none longer than 13 mm on 900 mm
    cells = SegmentGrid(
        np.concatenate([start, end]), np.arange(50_000), np.arange(50_000) + 50_000, np.zeros(50_000, int)
    )
    assert cells.near(0, 300, 100, 310, 110)[0].shape[1] < 1_000


@quick
@given(st.integers(0, 10**6), st.floats(-50, 900), st.floats(-50, 300), st.floats(5, 600), st.floats(5, 600))
def test_cut_segments_are_the_parts_in_the_box(seed, left, top, width, height):
    start, end = _random_segments(seed, 200)
    parts, kept = clip(np.hstack([start, end]).T, (left, top), (left + width, top + height))
    box = shapely.box(left, top, left + width, top + height)
    inside = shapely.length(shapely.intersection(_lines(start, end), box))
    assert set(np.flatnonzero(inside > 1e-9).tolist()) <= set(kept.tolist())
    cut_lengths = np.hypot(parts[2] - parts[0], parts[3] - parts[1])
    np.testing.assert_allclose(cut_lengths, inside[kept], atol=1e-9)
    assert shapely.covers(box.buffer(1e-9), shapely.points(np.hstack([parts[:2], parts[2:]]).T)).all()


def test_bounds():
    assert bounds_of(np.array([[3.0, -1.0], [1.0, 4.0]])) == (1.0, -1.0, 3.0, 4.0)
    assert bounds_of(np.zeros((0, 2))) is None
