"""The photo's map: against projections of a pinhole camera written here (Hartley and Zisserman, "Multiple View Geometry",
2nd edition, 2004, 6.1; from memory), and its project file."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.document import edits, edits_arrangement, edits_photo
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.homography import homography, quadrilateral, through
from wallwright.document.project import decode_project, encode_project

ANGLE = st.floats(-0.6, 0.6)


def photographed(points: np.ndarray, pan: float, tilt: float, roll: float, distance: float) -> np.ndarray:
    """Pixels of wall points, mm, in a pinhole camera (Hartley and Zisserman, chapter 6: x = K [R t] X)."""
    c, s = np.cos, np.sin
    about_y = np.array([[c(pan), 0, s(pan)], [0, 1, 0], [-s(pan), 0, c(pan)]])
    about_x = np.array([[1, 0, 0], [0, c(tilt), -s(tilt)], [0, s(tilt), c(tilt)]])
    about_z = np.array([[c(roll), -s(roll), 0], [s(roll), c(roll), 0], [0, 0, 1]])
    centred = np.column_stack([points - [1000, 700], np.zeros(len(points))])
    seen = centred @ (about_z @ about_x @ about_y).T + [0, 0, distance]
    return 3000 * seen[:, :2] / seen[:, 2:] + [2000, 1500]


WALL = np.array([[0.0, 0.0], [2000.0, 0.0], [2000.0, 1400.0], [0.0, 1400.0]])


@given(ANGLE, ANGLE, ANGLE, st.floats(3500, 9000))
@settings(deadline=None, max_examples=100, derandomize=True)
def test_four_points_straighten_every_other(pan, tilt, roll, distance):
    matrix = homography(photographed(WALL, pan, tilt, roll, distance), WALL)
    others = np.random.default_rng(1).uniform([0, 0], [2000, 1400], (40, 2))
    assert through(matrix, photographed(others, pan, tilt, roll, distance)) == pytest.approx(others, abs=1e-5)


def test_more_points_are_fitted_by_least_squares():
    random = np.random.default_rng(2)
    places = random.uniform([0, 0], [2000, 1400], (60, 2))
    seen = photographed(places, 0.3, -0.2, 0.1, 5000) + random.normal(0, 1.0, (60, 2))
    matrix = homography(seen, places)
    true = random.uniform([200, 200], [1800, 1200], (50, 2))
    errors = np.hypot(*(through(matrix, photographed(true, 0.3, -0.2, 0.1, 5000)) - true).T)
    assert errors.max() < 2.0  # a pixel is 1.7 mm here; the fit is better than one reading


@pytest.mark.parametrize(
    "seen",
    [
        [[0, 0], [10, 0], [20, 0], [0, 10]],
        [[5, 5]] * 4,
        [[0, 0], [10, 10], [10, 0], [0, 10]],
    ],
)
def test_points_that_fix_nothing_are_refused(seen):
    with pytest.raises(BadValue):
        homography(np.array(seen, dtype=float), WALL)


@given(st.floats(200, 3000), st.floats(200, 3000), st.floats(-0.3, 0.3), st.floats(-0.3, 0.3))
@settings(deadline=None, max_examples=100, derandomize=True)
def test_distances_give_the_corners_back(width, height, a, b):
    corners = np.array([[0, 0], [width, 0], [width * (1 + a), height], [width * b, height * (1 + a)]])
    sides = [np.hypot(*(corners[i] - corners[(i + 1) % 4])) for i in range(4)]
    found = quadrilateral(*sides, np.hypot(*corners[2]))
    assert np.array(found) == pytest.approx(corners, abs=1e-5)


def test_distances_that_do_not_close_are_reported():
    with pytest.raises(BadValue, match="triangle"):
        quadrilateral(1000, 500, 1000, 500, 3000)


def test_the_photo_travels_in_the_project_moves_with_the_frame_and_goes_whole():
    document = edits_photo.add_photo(Document(), "wall.png", "image/png", b"\x89PNG...", (400, 300))
    assert decode_project(encode_project(document), "x") == document
    moved = edits.move_anchor(document, 0, "left", (100.0, 40.0))
    assert moved.photo.places[0][0] - moved.wall.left == document.photo.places[0][0] - document.wall.left
    assert edits_arrangement.remove_placements(document, []).artworks == document.artworks
    assert edits_photo.remove_photo(document) == Document()
    w, h = np.ptp(np.array(document.photo.places), axis=0)
    assert w / h == pytest.approx(4 / 3)
