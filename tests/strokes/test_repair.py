"""An order mended after an edit: by the rules, every stroke once, and nearly as short as one from the whole search."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.stroke_sets import hatched_clusters, random_strokes
from wallwright.document.errors import Cancelled
from wallwright.document.ordering import Ordering
from wallwright.strokes.order import order_strokes, travel_lengths, travel_time
from wallwright.strokes.repair import repair_order
from wallwright.strokes.strokes import Strokes

START = np.array([10.0, 20.0])
LIMITS = 80.0, 200.0
FREE = Ordering()


def time_up(strokes: Strokes) -> float:
    return travel_time(travel_lengths(strokes, START), *LIMITS).sum()


def numbered(strokes: Strokes) -> Strokes:
    return Strokes(strokes.points, strokes.offsets, strokes.pen, np.arange(len(strokes)), strokes.is_fill)


def edited(strokes: Strokes, seed: int, radius: float = 120.0) -> Strokes:
    """Those near some place replaced by others."""
    random = np.random.default_rng(seed)
    middles = (strokes.starts + strokes.ends) / 2
    place = middles[random.integers(len(strokes))]
    stay = np.flatnonzero(np.hypot(*(middles - place).T) > radius)
    begin = place + random.uniform(-radius, radius, (25, 2))
    new = Strokes.pack(list(np.stack([begin, begin + random.uniform(-20, 20, (25, 2))], axis=1)), strokes.pen[0])
    return numbered(Strokes.join([strokes.take(stay[: len(stay) // 2]), new, strokes.take(stay[len(stay) // 2 :])]))


def assert_same_strokes(ordered: Strokes, strokes: Strokes) -> None:
    """Each once, from one end or the other; strokes are numbered by source."""
    assert sorted(ordered.source.tolist()) == list(range(len(strokes)))
    for i in range(len(strokes)):
        a, b = ordered[i], strokes[ordered.source[i]]
        assert np.array_equal(a, b) or np.array_equal(a, b[::-1])
        assert ordered.pen[i] == strokes.pen[ordered.source[i]]


@pytest.mark.parametrize("make", [hatched_clusters, random_strokes])
def test_travels_are_those_of_the_whole_search_within_a_hundredth(make):
    strokes = make(2000, 3)
    before = order_strokes(strokes, START, *LIMITS)
    for seed in range(3):
        strokes = edited(strokes, seed)
        # Each edit goes on from the order mended last.
        before = repair_order(strokes, START, *LIMITS, FREE, None, before)
        assert_same_strokes(before, strokes)
    assert time_up(before) < 1.01 * time_up(order_strokes(strokes, START, *LIMITS))


def test_a_drawing_moved_and_hatched_again_keeps_its_order():
    """Hatch lines lie on a lattice of the wall: moved, a drawing has others."""
    strokes = hatched_clusters(2000, 5)
    before = order_strokes(strokes, START, *LIMITS)
    random = np.random.default_rng(1)
    nudged = strokes.points + np.repeat(random.uniform(-0.5, 0.5, (len(strokes), 2)), 2, axis=0)
    nudged[: len(nudged) // 2] = strokes.points[: len(nudged) // 2]
    moved = Strokes(nudged + [120.0, -40.0], strokes.offsets, strokes.pen, strokes.source, strokes.is_fill)
    mended = repair_order(moved, START, *LIMITS, FREE, None, before)
    assert_same_strokes(mended, moved)
    assert time_up(mended) < 1.01 * time_up(order_strokes(moved, START, *LIMITS))


@given(st.integers(0, 10_000), st.integers(30, 200), st.sampled_from(["any", "after", "before"]), st.booleans())
@settings(deadline=None, max_examples=12, derandomize=True)
def test_rules_hold(seed, count, fills, grouped):
    """What is drawn together stays together, pens one after the other, edges before fills or after them."""
    random = np.random.default_rng(seed)
    strokes = random_strokes(count, seed, 2)
    strokes = Strokes(strokes.points, strokes.offsets, strokes.pen, strokes.source, random.random(count) < 0.5)
    groups = random.integers(0, 5, count) if grouped else None
    rules = Ordering("quick", fills=fills, together="shape" if grouped else "none")
    before = order_strokes(strokes, START, *LIMITS, rules, groups)
    after = edited(strokes, seed, 30.0)
    after = Strokes(after.points, after.offsets, after.pen, after.source, random.random(len(after)) < 0.5)
    groups = random.integers(0, 6, len(after)) if grouped else None
    mended = repair_order(after, START, *LIMITS, rules, groups, before)
    if mended is None:
        return
    assert_same_strokes(mended, after)
    assert (np.diff(mended.pen) >= 0).all()
    unit = np.zeros(len(after)) if groups is None else groups[mended.source]
    names = np.column_stack([mended.pen, unit, mended.is_fill if fills != "any" else 0 * unit])
    changes = 1 + np.count_nonzero(np.any(np.diff(names, axis=0) != 0, axis=1))
    assert changes == len(np.unique(names, axis=0))
    if fills != "any":
        for pen in (0, 1):
            for one in np.unique(unit):
                turns = mended.is_fill[(mended.pen == pen) & (unit == one)].astype(int)
                assert (np.diff(turns) * (1 if fills == "after" else -1) >= 0).all()


def test_a_closed_stroke_that_is_new_begins_where_the_pen_comes_from():
    angle = np.linspace(0, 2 * np.pi, 41)
    ring = np.column_stack([500 + 100 * np.cos(angle), 100 * np.sin(angle)])
    ring[-1] = ring[0]
    line = np.array([[0.0, 0.0], [300.0, 0.0]])
    lines = [line, *(line + [0.0, 2000.0 + i] for i in range(4))]
    before = order_strokes(Strokes.pack(lines, 0), START, *LIMITS)
    mended = repair_order(Strokes.pack([*lines, ring], 0), START, *LIMITS, FREE, None, before)
    assert len(mended) == 6
    place = next(i for i in range(6) if len(mended[i]) == 41)
    before, after = mended[place - 1][-1], mended[place + 1][0]
    detour = np.hypot(*(ring - before).T) + np.hypot(*(ring - after).T)
    begin = mended[place][0]
    assert np.hypot(*(begin - before)) + np.hypot(*(begin - after)) == pytest.approx(detour.min())


def test_another_drawing_is_not_repaired():
    before = order_strokes(random_strokes(200, 1), START, *LIMITS, Ordering("quick"))
    assert repair_order(random_strokes(200, 2), START, *LIMITS, FREE, None, before) is None
    assert repair_order(Strokes.empty(), START, *LIMITS, FREE, None, before) is None
    assert repair_order(random_strokes(200, 2), START, *LIMITS, FREE, None, Strokes.empty()) is None


def test_it_can_be_cancelled():
    strokes = hatched_clusters(2000, 3)
    before = order_strokes(strokes, START, *LIMITS, Ordering("quick"))
    calls = []

    def stop(done: float) -> None:
        calls.append(done)
        if done > 0.4:
            raise Cancelled

    with pytest.raises(Cancelled):
        repair_order(edited(strokes, 1), START, *LIMITS, FREE, None, before, stop)
    assert calls == sorted(calls)
