"""Strokes found again: by every point of theirs, whatever end they begin at, also when all have moved."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.strokes.matching import begun_at, match
from wallwright.strokes.strokes import Strokes

WAYS = st.tuples(st.floats(-900, 900), st.floats(-900, 900))


def polylines(seed: int, count: int) -> list[np.ndarray]:
    """Every third one a ring; the first two are there twice."""
    random = np.random.default_rng(seed)
    lines = []
    for i in range(count):
        line = random.uniform(0, 1000, (random.integers(2, 9), 2))
        lines.append(np.concatenate([line, line[:1]]) if i % 3 == 0 and len(line) > 2 else line)
    return lines + lines[:2]


def shuffled(lines: list[np.ndarray], random: np.random.Generator) -> tuple[list[np.ndarray], np.ndarray]:
    """The same in another sequence, some turned around, rings begun elsewhere; and the number of each among them."""
    order = random.permutation(len(lines))
    found = []
    for number in order:
        line = lines[number]
        if (line[0] == line[-1]).all() and len(line) > 2:
            line = np.roll(line[:-1], random.integers(len(line)), axis=0)
            line = np.concatenate([line, line[:1]])
        found.append(line[::-1] if random.random() < 0.5 else line)
    return found, order


@given(st.integers(0, 10_000), st.integers(6, 30), WAYS)
@settings(deadline=None, max_examples=12, derandomize=True)
def test_turned_begun_elsewhere_and_moved_strokes_are_found(seed, count, way):
    random = np.random.default_rng(seed)
    lines = polylines(seed, count)
    others, order = shuffled(lines, random)
    strokes = Strokes.pack([line + np.array(way) for line in lines], 1)
    found = match(strokes, Strokes.pack(others, 1))
    assert sorted(found.other.tolist()) == list(range(len(lines)))
    # The copies are alike, each may stand for the other.
    alike = {number: number % count for number in range(len(lines))}
    assert all(alike[int(order[o])] == alike[i] for i, o in enumerate(found.other))
    laid = begun_at(strokes.take(np.arange(len(strokes)), found.backwards), found.first)
    target = Strokes.pack(others, 1).take(found.other)
    assert np.abs(laid.points - target.points - np.array(way)).max() < 1e-9


@given(st.integers(0, 10_000))
@settings(deadline=None, max_examples=12, derandomize=True)
def test_a_stroke_with_one_other_point_or_another_pen_is_another_stroke(seed):
    random = np.random.default_rng(seed)
    lines = polylines(seed, 20)
    changed = [line.copy() for line in lines]
    changed[4][1] += [0.0, 0.5]  # an open one
    pen = np.zeros(len(lines), dtype=int)
    pen[7] = 1
    others, order = shuffled(changed, random)
    found = match(Strokes.pack(lines, 0), Strokes.pack(others, pen[order]))
    other = np.where(found.other >= 0, order[found.other], -1)
    assert set(np.flatnonzero(other < 0)) <= {4, 7} and (other[[4, 7]] < 0).all()


def test_of_several_ways_the_one_of_most_strokes_counts():
    lines = polylines(1, 30)
    moved = [line + ([5.0, 0.0] if i < 20 else [0.0, 7.0]) for i, line in enumerate(lines)]
    found = match(Strokes.pack(moved, 0), Strokes.pack(lines, 0))
    assert (found.other[2:20] >= 0).all() and (found.other[20:30] < 0).all()
    np.testing.assert_allclose(found.way, [5.0, 0.0], atol=1e-9)


def test_nothing_is_found_among_nothing():
    none = Strokes.empty()
    assert len(match(none, none).other) == 0
    assert match(Strokes.pack(polylines(1, 3), 0), none).other.tolist() == [-1] * 5
