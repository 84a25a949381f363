"""Order against published optima and another solver."""

import fast_tsp
import numpy as np
import pytest

from tests.support.stroke_sets import hatched_clusters, random_strokes
from wallwright.document.ordering import Ordering
from wallwright.strokes.order import order_strokes, travel_lengths, travel_time
from wallwright.strokes.strokes import Strokes

BERLIN52 = """
565 575 25 185 345 750 945 685 845 655 880 660 25 230 525 1000 580 1175 650 1130 1605 620 1220 580 1465 200 1530 5
845 680 725 370 145 665 415 635 510 875 560 365 300 465 520 585 480 415 835 625 975 580 1215 245 1320 315 1250 400
660 180 410 250 420 555 575 665 1150 1160 700 580 685 595 685 610 770 610 795 645 720 635 760 650 475 960 95 260
875 920 700 500 555 815 830 485 1170 65 830 610 605 625 595 360 1340 725 1740 245"""
"""TSPLIB (Reinelt 1991), berlin52, from memory: 52 places whose shortest round tour is 7542 long."""
FAR = 1e6
LENGTH = 1.0, 1e15
"""Speed and acceleration that make the time of a travel its length."""


def test_berlin52_is_solved():
    """Places are strokes without length. A stroke from far away to the first place, and one from it to another far
    place, make a round tour of it: the pen begins at the one and can end at the other only."""
    places = np.array(BERLIN52.split(), dtype=float).reshape(-1, 2)
    lines = [np.array([p, p]) for p in places[1:]]
    lines += [np.array([[-FAR, 0], places[0]]), np.array([places[0], [FAR, 0]])]
    strokes = Strokes.pack(lines, 0, np.arange(len(lines)))
    ordered = order_strokes(strokes, np.array([-FAR, 0]), *LENGTH, Ordering("best"))
    assert ordered.source[0] == 51 and ordered.source[-1] == 52
    tour = np.concatenate([places[:1], places[1:][ordered.source[1:-1]], places[:1]])
    # TSPLIB rounds each distance to a whole number.
    assert np.floor(np.hypot(*np.diff(tour, axis=0).T) + 0.5).sum() == 7542


@pytest.mark.parametrize("strokes", [random_strokes(200, 5), hatched_clusters(240, 5, 12)], ids=["random", "clusters"])
def test_as_good_as_another_solver(strokes):
    """fast-tsp (local search on a matrix of whole numbers), strokes as edges that cost nothing, all else much more."""
    k = len(strokes)
    points = np.concatenate([np.stack([strokes.starts, strokes.ends], axis=1).reshape(-1, 2), np.zeros((2, 2))])
    times = travel_time(np.hypot(*(points[:, None] - points).transpose(2, 0, 1)), 80.0, 200.0)
    times[2 * k] = times[:, 2 * k] = 0.0  # the finish, from which the start is reached at no cost
    cost = np.round(2000 * times).astype(int) + 20_000
    index = np.arange(2 * k + 2)
    cost[index, index ^ 1] = cost[index, index] = 0
    tour = np.array(fast_tsp.find_tour(cost, duration_seconds=2.0))
    after = np.roll(tour, -1)
    drawn = tour // 2 == after // 2
    assert drawn.sum() == k + 1
    theirs = times[tour, after][~drawn].sum()
    ours = travel_time(travel_lengths(order_strokes(strokes, np.zeros(2), 80.0, 200.0), np.zeros(2)), 80.0, 200.0).sum()
    assert ours <= 1.01 * theirs


def test_a_long_tour_is_near_the_constant_of_random_tours():
    """The best tour through 10,000 random points in a square of area A is about 0.7168 sqrt(n A) long, spread 0.3 %
    (Johnson and McGeoch 1997; from memory)."""
    places = np.random.default_rng(1).uniform(0, 1000, (10_000, 2))
    ordered = order_strokes(
        Strokes.pack(list(np.repeat(places[:, None], 2, axis=1)), 0), np.zeros(2), *LENGTH, Ordering("quick")
    )
    assert travel_lengths(ordered, np.zeros(2)).sum() < 1.05 * 0.7168 * 1e5
