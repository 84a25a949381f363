"""Labels on pictures: the nearest free place, or the one that covers least."""

import itertools

import numpy as np
import pytest

from wallwright.jobs.label_placing import LabelPlacer


def box(place, width, height):
    return place.x - width / 2, place.y - height / 2, place.x + width / 2, place.y + height / 2


def overlap(one, other) -> float:
    across = min(one[2], other[2]) - max(one[0], other[0])
    down = min(one[3], other[3]) - max(one[1], other[1])
    return max(across, 0.0) * max(down, 0.0)


def test_a_label_stands_on_its_point_where_nothing_is_in_the_way():
    place = LabelPlacer().place(10.0, 20.0, 30.0, 8.0)
    assert (place.x, place.y, place.covered, place.gap) == (10.0, 20.0, 0.0, 0.0)


def test_the_name_of_a_mark_stands_beside_it_and_off_it():
    placer = LabelPlacer()
    placer.keep_clear(-5.0, -5.0, 5.0, 5.0)
    place = placer.place(0.0, 0.0, 20.0, 10.0, is_beside=True)
    assert place.covered == 0.0 and overlap(box(place, 20.0, 10.0), (-5, -5, 5, 5)) == 0.0
    assert 0.0 < place.gap < 12.0 and place.y < 0.0, "above, and near"


@pytest.mark.parametrize("seed", range(5))
def test_many_labels_never_cover_each_other_while_there_is_room(seed):
    """Compared pair by pair."""
    points = np.random.default_rng(seed).uniform(0.0, 120.0, (12, 2))
    placer = LabelPlacer()
    for x, y in points.tolist():
        placer.keep_clear(x - 4, y - 4, x + 4, y + 4)
    placed = [placer.place(x, y, 24.0, 12.0, is_beside=True) for x, y in points.tolist()]
    boxes = [box(p, 24.0, 12.0) for p in placed]
    assert all(p.covered == 0.0 for p in placed)
    assert not any(overlap(a, b) for a, b in itertools.combinations(boxes, 2))


def test_what_matters_less_is_covered_first():
    placer = LabelPlacer()
    placer.keep_clear(-1e3, -1e3, 0.0, 1e3)
    placer.keep_clear(0.0, -1e3, 1e3, 1e3, weight=0.1)
    place = placer.place(0.0, 0.0, 20.0, 10.0)
    assert place.x >= 10.0 and place.covered == pytest.approx(0.1 * 20.0 * 10.0)
