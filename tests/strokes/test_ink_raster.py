"""The share of the wall under ink, beside shapely's areas; tone corrected by it."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.artwork.raster.pen_layers import Tones
from wallwright.strokes.pictures.ink_raster import corrected, evened, ink_shares


@given(st.integers(0, 10_000), st.integers(1, 8))
@settings(deadline=None, max_examples=40, derandomize=True)
def test_ink_is_the_area_of_buffered_lines(seed, count):
    """Every cell's share beside the area that shapely's round buffers leave in it."""
    rng = np.random.default_rng(seed)
    lines = [rng.uniform(2, 28, (rng.integers(2, 6), 2)) for _ in range(count)]
    tones = Tones(np.zeros((15, 15)), 2.0)
    shares = ink_shares(lines, 3.0, tones)
    ink = shapely.union_all([shapely.buffer(shapely.LineString(p), 1.5, quad_segs=32) for p in lines])
    column, row = np.meshgrid(np.arange(15) * 2.0, np.arange(15) * 2.0)
    cells = shapely.box(column, row, column + 2, row + 2)
    wanted = shapely.area(shapely.intersection(cells, ink)) / 4
    assert shares.sum() == pytest.approx(wanted.sum(), rel=0.01)
    assert shares == pytest.approx(wanted, abs=0.15)


def test_a_style_that_lays_too_little_is_asked_for_more():
    """A style whose lines cover 0.8 of what it is asked for ends within 0.01 of the tone."""

    def draw(asked: Tones, progress) -> list[np.ndarray]:
        progress(0.5)
        gap = 1.0 / (0.8 * asked.tone[50, 50])
        heights = np.arange(gap / 2, 100, gap)
        return [np.array([[0.0, y], [100.0, y]]) for y in heights]

    tones = Tones(np.full((100, 100), 0.4), 1.0)
    once, thrice = (ink_shares(corrected(draw, tones, 1.0, rounds, lambda done: None), 1.0, tones) for rounds in (1, 4))
    assert once.mean() == pytest.approx(0.32, abs=0.01)
    assert thrice.mean() == pytest.approx(0.4, abs=0.01)


def test_white_is_never_asked_to_be_darker():
    asked_for = []

    def draw(asked: Tones, progress) -> list[np.ndarray]:
        asked_for.append(asked.tone)
        return []

    tone = np.full((40, 40), 0.5)
    tone[:, :20] = 0.0
    assert corrected(draw, Tones(tone, 1.0), 1.0, 3, lambda done: None) == []
    assert all((tone_asked[:, :20] == 0).all() for tone_asked in asked_for)
    assert asked_for[-1][:, 20:].min() > 0.5


def test_lines_move_aside_until_their_ink_is_the_tone():
    """Even lines for a tone that goes to and fro: in a few rounds their ink does too, and none is lost, changes places or
    leaves the picture."""
    height = np.arange(200) + 0.5
    tone = np.tile((0.5 + 0.25 * np.sin(2 * np.pi * height / 40))[:, None], (1, 200))
    tones = Tones(tone, 1.0)
    lines = [np.array([[0.0, y], [200.0, y]]) for y in np.arange(1.0, 200, 2.0)]  # 50 % everywhere
    moved = evened(lines, tones, 1.0, 8, lambda done: None)
    bands = ink_shares(moved, 1.0, tones).reshape(10, 20, 200).mean(axis=(1, 2))
    assert bands == pytest.approx(tone.reshape(10, 20, 200).mean(axis=(1, 2)), abs=0.06)  # a line is 0.05 of a band
    heights = np.array([line[:, 1].mean() for line in moved])
    assert len(moved) == len(lines) and (np.diff(heights) > 0).all()
    points = np.concatenate(moved)
    assert points.min() >= 0 and points.max() <= 200


def test_lines_far_from_what_lacks_stay():
    """Even lines for a half that wants fewer and one that wants more: those far from the border stay where they are."""
    tone = np.full((300, 300), 0.2)
    tone[:, 150:] = 0.4
    lines = [np.array([[x, 0.0], [x, 300.0]]) for x in np.arange(1.5, 300, 3.0)]
    moved = evened(lines, Tones(tone, 1.0), 1.0, 4, lambda done: None)
    before, after = (np.array([line[:, 0].mean() for line in found]) for found in (lines, moved))
    aside = np.abs(after - before)
    assert aside.max() > 1.0
    assert aside[np.abs(before - 150) > 60].max() < 0.5


def test_even_lines_of_an_even_tone_stay():
    lines = [np.array([[0.0, y], [100.0, y]]) for y in np.arange(2.5, 100, 5.0)]
    moved = evened(lines, Tones(np.full((100, 100), 0.2), 1.0), 1.0, 3, lambda done: None)
    assert max(np.abs(a[:, 1] - b[0, 1]).max() for a, b in zip(moved, lines, strict=True)) < 0.3
