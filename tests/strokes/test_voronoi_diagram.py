"""Voronoi diagrams beside those of scipy, smaller cells beside shapely's buffers, nearest points beside a tree's."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import Voronoi, cKDTree

from wallwright.strokes.pictures.voronoi import nearest_points
from wallwright.strokes.pictures.voronoi_diagram import VoronoiDiagram


def scattered(seed: int, count: int) -> np.ndarray:
    return np.random.default_rng(seed).uniform(0, 100, (count, 2))


@given(st.integers(0, 10_000), st.integers(12, 80))
@settings(deadline=None, max_examples=30, derandomize=True)
def test_edges_are_those_of_scipy(seed, count):
    """The same pairs of neighbours, each with an edge of the same length."""
    points = scattered(seed, count)
    found, wanted = VoronoiDiagram.of(points), Voronoi(points)
    ends = np.asarray(wanted.ridge_vertices)
    finite = (ends >= 0).all(axis=1)
    of_scipy = {
        tuple(sorted(pair)): np.hypot(*np.diff(wanted.vertices[both], axis=0)[0])
        for pair, both in zip(wanted.ridge_points[finite].tolist(), ends[finite], strict=True)
    }
    mine = {
        tuple(sorted(pair)): np.hypot(*np.diff(found.vertices[both], axis=0)[0])
        for pair, both in zip(found.between.tolist(), found.ends, strict=True)
    }
    assert mine.keys() == of_scipy.keys()
    assert [mine[key] for key in of_scipy] == pytest.approx(list(of_scipy.values()), rel=1e-6, abs=1e-6)


@given(st.integers(0, 10_000), st.floats(0.1, 4.0))
@settings(deadline=None, max_examples=12, derandomize=True)
def test_smaller_cells_are_buffers_inwards(seed, inset):
    points = scattered(seed, 60)
    diagram, other = VoronoiDiagram.of(points), Voronoi(points)
    regions = [other.regions[region] for region in other.point_region]
    closed = np.array([i for i, region in enumerate(regions) if region and -1 not in region], dtype=np.int64)
    corners, cell = diagram.smaller_cells(closed, np.full(len(closed), inset))
    for number, i in enumerate(closed.tolist()):
        whole = shapely.MultiPoint(other.vertices[regions[i]]).convex_hull
        wanted = whole.buffer(-inset, join_style="mitre", mitre_limit=100)
        mine = corners[cell == number]
        area = shapely.Polygon(mine).area if len(mine) else 0.0
        # Buffers inwards first leave out corners closer together than a hundredth of their distance.
        assert area == pytest.approx(wanted.area, rel=1e-6, abs=0.01 * inset * whole.length + 1e-6)


def test_nearest_points_are_those_of_a_tree():
    """Up to a few cells, by less than a cell (Danielsson 1980), though half of the plane has hardly a point."""
    points = scattered(3, 700) * (0.9, 0.7)
    points = np.concatenate([points[points[:, 0] < 45], [[80.0, 20.0], [85.0, 60.0]]])
    nearest = nearest_points(*np.ascontiguousarray(points.T), 70, 90)
    row, column = np.indices((70, 90))
    places = np.column_stack([column.ravel(), row.ravel()])
    least, _ = cKDTree(points).query(places)
    mine = np.hypot(*(points[nearest.ravel()] - places).T)
    assert np.mean(mine > least + 1e-9) < 0.01
    assert (mine - least).max() < 1.0
