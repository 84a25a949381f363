"""Paths read together are those read one by one."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.svg import clip
from wallwright.artwork.svg.curves import chords
from wallwright.artwork.svg.many_paths import read_together
from wallwright.artwork.svg.path_data import tracks_of

NUMBER = st.integers(-4000, 4000).map(lambda v: f"{v / 40:g}")


@st.composite
def path_data(draw):
    text = f"M{draw(NUMBER)},{draw(NUMBER)}"
    for command in draw(st.lists(st.sampled_from("LQC"), min_size=1, max_size=5)):
        count = {"L": 2, "Q": 4, "C": 6}[command]
        text += draw(st.sampled_from(["", " "])) + command + " ".join(draw(NUMBER) for _ in range(count))
    return text + draw(st.sampled_from(["", "z", " Z"]))


@settings(deadline=None, derandomize=True, max_examples=60)
@given(st.lists(path_data(), min_size=1, max_size=4))
def test_paths_read_together_are_those_read_one_by_one(texts):
    for text, found in zip(texts, read_together(texts, 0.01), strict=True):
        (one,) = chords(tracks_of(text)[0], 0.01)
        ((line, closed),) = found
        assert closed == one[1]
        assert line.shape == one[0].shape and np.allclose(line, one[0], atol=1e-9)


def test_other_paths_are_left_to_be_read_one_by_one():
    others = ["m1 1l5 5", "M0 0A5 5 0 0 1 9 9", "M0 0L1 1M5 5L6 6", "", "M0 0L1e9999 1", "M0 0\u00e4"]
    assert read_together(others, 0.01) == [None] * len(others)
    for broken in ("M1 1L2", "M0 0L 1,1,2,2", "M0 0L1 1e", "M0 0L1..5 1"):
        assert read_together(["M0 0L1 1", broken], 0.01)[1] is None


def test_a_block_of_sound_paths_is_read_together():
    """The curve's own points: (1 - t)² a + 2 t (1 - t) b + t² c for a quadratic."""
    ((line, _),), (ring,) = read_together(["M0 0Q5 10 10 0", "M0 0L4 0L4 4Z"], 0.001)
    t = np.linspace(0, 1, len(line))
    assert np.allclose(line, np.column_stack([10 * t, 20 * t * (1 - t)]), atol=1e-9)
    assert ring[1] and len(ring[0]) == 3


def test_shapes_are_cut_to_the_page_alike_however_many_are_looked_at_together(monkeypatch):
    """Squares that reach over each side of the page by 0 to 29 units: each is cut there, and those beyond it are left out."""
    squares = [f'<rect x="{x}" y="{y}" width="20" height="20"/>' for i in range(30) for x, y in _reaching_over(i)]
    data = f'<svg xmlns="http://www.w3.org/2000/svg" width="100" height="100">{"".join(squares)}</svg>'.encode()
    monkeypatch.setattr(clip, "AT_ONCE", 1)
    each = read_artwork(data, "image/svg+xml", "page.svg", 0.01).shapes
    for count in (7, 100, 100_000):
        monkeypatch.setattr(clip, "AT_ONCE", count)
        together = read_artwork(data, "image/svg+xml", "page.svg", 0.01).shapes
        assert [np.concatenate(shape.paths).tolist() for shape in together] == [
            np.concatenate(shape.paths).tolist() for shape in each
        ]
    assert len(each) == 4 * 20
    points = np.concatenate([np.concatenate(shape.paths) for shape in each])
    assert points.min() > -0.1 and points.max() < 100 * 25.4 / 96 + 0.1


def _reaching_over(by: int) -> list[tuple[int, int]]:
    return [(-by, 40), (80 + by, 40), (40, -by), (40, 80 + by)]
