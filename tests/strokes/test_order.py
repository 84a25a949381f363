"""Order: every stroke exactly once, by the rules, and far less travel than in the order of the file."""

import itertools

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.examples import examples
from tests.support.stroke_sets import random_strokes
from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.errors import Cancelled
from wallwright.document.ordering import Ordering
from wallwright.strokes.order import order_strokes, travel_lengths, travel_time
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.tour.nearest import nearest_first
from wallwright.strokes.tour.search_budget import SearchBudget
from wallwright.strokes.tour.tour import order_ends

START = np.array([0.0, 0.0])
QUICK = Ordering(effort="quick")


def time_up(strokes: Strokes) -> float:
    return travel_time(travel_lengths(strokes, START), 80.0, 200.0).sum()


@given(st.integers(0, 500), st.integers(0, 10_000), st.integers(1, 3))
@settings(deadline=None, max_examples=25, derandomize=True)
def test_each_stroke_once_pens_together(count, seed, pens):
    strokes = random_strokes(count, seed, pens)
    ordered = order_strokes(strokes, START, 80.0, 200.0, QUICK)
    assert sorted(ordered.source.tolist()) == list(range(count))
    assert (np.diff(ordered.pen) >= 0).all()
    for i in range(count):
        a, b = ordered[i], strokes[ordered.source[i]]
        assert np.array_equal(a, b) or np.array_equal(a, b[::-1])


@given(st.integers(0, 10_000), st.integers(1, 5))
@settings(deadline=None, max_examples=12, derandomize=True)
def test_a_few_strokes_are_ordered_as_well_as_all_orders_tried(seed, count):
    """Against every permutation with every choice of ends."""
    strokes = random_strokes(count, seed)
    ends = np.stack([strokes.starts, strokes.ends], axis=1)
    orders = np.array(list(itertools.permutations(range(count))))
    flips = np.array(list(itertools.product((0, 1), repeat=count)))
    order, flip = np.repeat(orders, len(flips), axis=0), np.tile(flips, (len(orders), 1))
    entry, leave = ends[order, flip], ends[order, 1 - flip]
    before = np.concatenate([np.zeros((len(order), 1, 2)), leave[:, :-1]], axis=1)
    times = travel_time(np.hypot(*np.moveaxis(entry - before, -1, 0)), 80.0, 200.0).sum(axis=1)
    assert time_up(order_strokes(strokes, START, 80.0, 200.0)) == pytest.approx(times.min(), rel=1e-9)


@pytest.mark.parametrize("width", [0.0, 1e-12, 7.5e-8, 1e-5, 2e-3, 1.0])
@pytest.mark.parametrize("count", [2, 3, 9])
def test_strokes_that_begin_and_end_at_almost_one_place_are_ordered(width, count):
    """A circle and a diamond in it: both begin and end at one point but for rounding."""
    random = np.random.default_rng(3)
    ends = np.array([1012.3, 525.6]) + width * random.uniform(-1, 1, (count, 2, 2))
    order, flip = order_ends(ends, START, 80.0, 200.0, 20.0)
    assert sorted(order.tolist()) == list(range(count)) and len(flip) == count


def test_travel_is_far_below_file_order():
    """A random uniform tour of n points in area A is about 0.7124 sqrt(n A) at best (Beardwood, Halton, Hammersley 1959;
    constant from memory); strokes with two ends to choose from do a little better."""
    strokes = random_strokes(2000, 1)
    before = travel_lengths(strokes, START).sum()
    after = travel_lengths(order_strokes(strokes, START, 80.0, 200.0), START).sum()
    assert after < 0.05 * before
    assert after < 0.7124 * np.sqrt(2000 * 1500 * 1000)


def test_same_strokes_same_order():
    strokes = random_strokes(300, 9)
    one, two = (order_strokes(strokes, START, 80.0, 200.0) for _ in range(2))
    assert np.array_equal(one.points, two.points)


def circle(x: float, y: float, radius: float) -> np.ndarray:
    angle = np.linspace(0, 2 * np.pi, 41)
    ring = np.column_stack([x + radius * np.cos(angle), y + radius * np.sin(angle)])
    ring[-1] = ring[0]
    return ring


def test_a_closed_stroke_begins_near_where_the_pen_comes_from():
    ordered = order_strokes(Strokes.pack([circle(500, 0, 100)], 0), START, 80.0, 200.0)
    assert ordered.starts[0] == pytest.approx([400, 0], abs=1)
    assert np.array_equal(ordered[0][0], ordered[0][-1])


def test_rings_in_a_row_are_begun_where_they_face_each_other():
    """Circles of radius 40 mm every 100 mm along a line: from the first on, each is entered at its side towards the
    line, at no more than the gaps of 20 mm and the way around: the ring is left where it was entered, 80 mm before the
    next one's far side."""
    rings = Strokes.pack([circle(100 + 100 * i, 0, 40) for i in range(12)], 0, np.arange(12))
    ordered = order_strokes(rings, START, 80.0, 200.0)
    assert travel_lengths(ordered, START).sum() <= 60 + 11 * 100 + 1e-6
    for i in range(12):
        assert np.array_equal(np.unique(ordered[i], axis=0), np.unique(rings[ordered.source[i]], axis=0))


def mixed(count: int, seed: int) -> tuple[Strokes, np.ndarray]:
    strokes = random_strokes(count, seed)
    rng = np.random.default_rng(seed)
    strokes = Strokes(
        strokes.points, strokes.offsets, strokes.pen, strokes.source, rng.integers(0, 2, count).astype(bool)
    )
    return strokes, rng.integers(0, 7, count)


def runs(values: np.ndarray) -> int:
    return 1 + int(np.count_nonzero(np.diff(values)))


@given(st.integers(20, 120), st.integers(0, 10_000), st.sampled_from(["after", "before"]))
@settings(deadline=None, max_examples=20, derandomize=True)
def test_rules_are_kept(count, seed, turn):
    strokes, groups = mixed(count, seed)
    edges_first = order_strokes(strokes, START, 80.0, 200.0, Ordering("quick", fills=turn))
    wanted = edges_first.is_fill if turn == "after" else ~edges_first.is_fill
    assert (np.diff(wanted.astype(int)) >= 0).all()

    grouped = order_strokes(strokes, START, 80.0, 200.0, Ordering("quick", together="shape"), groups)
    assert runs(groups[grouped.source]) == len(np.unique(groups))

    both = order_strokes(strokes, START, 80.0, 200.0, Ordering("quick", turn, "shape"), groups)
    assert runs(groups[both.source]) == len(np.unique(groups))
    assert runs(2 * groups[both.source] + both.is_fill) <= 2 * len(np.unique(groups))
    assert sorted(both.source.tolist()) == list(range(count))


@given(st.integers(2, 200), st.integers(0, 10_000), st.floats(20, 400))
@settings(deadline=None, max_examples=20, derandomize=True)
def test_from_the_top_down_nothing_comes_more_than_a_band_higher(count, seed, band):
    ordered = order_strokes(random_strokes(count, seed), START, 80.0, 200.0, Ordering("quick", band=band))
    top = np.array([stroke[:, 1].min() for stroke in ordered])
    assert (np.maximum.accumulate(top) - top).max() <= band


def test_rules_cost_travel_but_not_more_than_they_must():
    """Groups are strips of the wall side by side: in one go each costs little."""
    strokes = random_strokes(600, 4)
    groups = (strokes.starts[:, 0] // 300).astype(int)
    free = time_up(order_strokes(strokes, START, 80.0, 200.0))
    grouped = time_up(order_strokes(strokes, START, 80.0, 200.0, Ordering(together="shape"), groups))
    assert free <= grouped < 1.1 * free


def test_progress_rises_and_cancel_is_heard():
    received = []
    order_strokes(
        random_strokes(3000, 2), START, 80.0, 200.0, QUICK, progress=lambda done, saving: received.append(done)
    )
    assert np.all(np.diff(received) >= 0) and received[0] >= 0 and received[-1] <= 1

    def stop(done: float, saving) -> None:
        if done > 0:
            raise Cancelled

    with pytest.raises(Cancelled):
        order_strokes(random_strokes(3000, 2), START, 80.0, 200.0, progress=stop)


def rings(count: int, seed: int) -> Strokes:
    centres = np.random.default_rng(seed).uniform([0, 0], [1500, 1000], (count, 2))
    return Strokes.pack([circle(x, y, 6) for x, y in centres], 0, np.arange(count))


SEARCHED = {
    "one window": (random_strokes(200, 5), Ordering()),
    "many windows, two pens": (random_strokes(3_000, 6, pens=2), QUICK),
    "rings": (rings(150, 7), Ordering()),
    "groups": (random_strokes(300, 8), Ordering("balanced", "after", "shape")),
}


@pytest.mark.parametrize("name", SEARCHED)
@given(share=st.floats(0, 1))
@settings(deadline=None, max_examples=examples(2), derandomize=True)
def test_a_search_ended_early_is_the_search_with_so_many_tries(name, share):
    """Ended at any of its looks, it gives the order that the same strokes get from a bound at the tries it had made."""
    strokes, rules = SEARCHED[name]
    groups = strokes.source // 60 if rules.together == "shape" else None

    def ordered(rules: Ordering, budget: SearchBudget | None = None) -> Strokes:
        return order_strokes(strokes, START, 80.0, 200.0, rules, groups, budget=budget)

    looks = [0, np.inf]

    def enough() -> bool:
        looks[0] += 1
        return looks[0] > looks[1]

    whole = SearchBudget(0, enough)
    full = ordered(rules, whole)
    assert not whole.ended_early
    looks[:] = [0, int(share * looks[0])]
    budget = SearchBudget(0, enough)
    ended = ordered(rules, budget)
    assert budget.ended_early or budget.made == whole.made
    assert 0 < budget.made <= whole.made
    again = ordered(msgspec.structs.replace(rules, tries=budget.made))
    for field in ("points", "offsets", "pen", "source", "is_fill"):
        np.testing.assert_array_equal(getattr(ended, field), getattr(again, field))
    assert sorted(ended.source.tolist()) == list(range(len(strokes)))
    assert time_up(full) <= time_up(ended) * 1.03
    at_once = order_strokes(strokes, START, 80.0, 200.0, rules, groups, budget=SearchBudget(1))
    assert time_up(ended) <= time_up(at_once) * 1.03


def test_what_is_saved_is_reported():
    """Against the times of the orders themselves."""
    strokes, received = random_strokes(2_000, 12), []
    ordered = order_strokes(strokes, START, 80.0, 200.0, progress=lambda done, saving: received.append(saving))
    known = [saving for saving in received if saving is not None]
    ends = np.stack([strokes.starts, strokes.ends], axis=1)
    nearest = time_up(strokes.take(*nearest_first(ends, START)))
    assert known[0].at_first == pytest.approx(nearest, rel=1e-9)
    assert np.all(np.diff([saving.travel for saving in known]) <= 1e-6)
    assert known[-1].travel == pytest.approx(time_up(ordered), rel=0.003)
    assert known[-1].travel < 0.92 * nearest


def test_another_effort_lets_the_search_go_to_its_end():
    ended = edits.set_field(Document(), "settings.order.tries", 700)
    assert edits.set_field(ended, "settings.order.effort", "best").settings.order.tries == 0
