"""Taking strokes apart, checked stroke by stroke."""

from itertools import pairwise

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.strokes.strokes import Strokes
from wallwright.window.ink.groups import flagged_runs, same, split

counts = st.lists(st.integers(1, 5), min_size=1, max_size=8)
quick = settings(deadline=None, max_examples=60, derandomize=True)


def _numbered(sizes: list[int]) -> Strokes:
    """Strokes whose points are numbered through."""
    ends = np.cumsum(sizes)
    return Strokes.pack(
        [[(i, 0.0) for i in range(end - size, end)] for end, size in zip(ends, sizes, strict=True)],
        np.arange(len(sizes)) % 3,
    )


@quick
@given(counts, st.data())
def test_groups_hold_all_strokes_in_order(sizes, data):
    strokes = _numbered(sizes)
    group = np.array(data.draw(st.lists(st.integers(0, 2), min_size=len(sizes), max_size=len(sizes))))
    parts = split(strokes, group)
    assert [part.id for part in parts] == sorted(set(group.tolist()))
    for part in parts:
        wanted = [strokes[i] for i in np.flatnonzero(group == part.id)]
        assert all(np.array_equal(a, b) for a, b in zip(part.strokes, wanted, strict=True))
        assert np.array_equal(strokes.points[part.points], part.strokes.points)
        own = part.strokes.points[:, 0]
        for moment in range(-1, len(strokes.points)):
            reached = part.own_moment(moment)
            assert reached == np.count_nonzero(own <= moment) - 1
            assert part.whole_moment(reached) <= moment


@quick
@given(counts, st.data())
def test_flagged_runs_are_the_segments_beside_flagged_points(sizes, data):
    strokes = _numbered(sizes)
    n = len(strokes.points)
    flags = np.array(data.draw(st.lists(st.booleans(), min_size=n, max_size=n)))
    runs = flagged_runs(strokes, flags)
    found = {(a[0], b[0]) for run in runs for a, b in pairwise(run)}
    found |= {(run[0, 0], run[0, 0]) for run in runs if len(run) == 1}
    wanted = set()
    for i, stroke in enumerate(strokes):
        first = int(strokes.offsets[i])
        if len(stroke) == 1 and flags[first]:
            wanted.add((first, first))
        wanted |= {(j, j + 1) for j in range(first, first + len(stroke) - 1) if flags[j] or flags[j + 1]}
    assert found == wanted


def test_same_looks_at_places_and_pens():
    a, b = _numbered([3, 2]), _numbered([3, 2])
    assert same(a, b)
    assert not same(a, _numbered([2, 3]))
    assert not same(a, Strokes(b.points + 1e-9, b.offsets, b.pen, b.source, b.is_fill))
    assert not same(a, Strokes(b.points, b.offsets, b.pen + 1, b.source, b.is_fill))
