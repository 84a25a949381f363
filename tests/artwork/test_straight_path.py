"""Path data of straight lines, read at once, against svgelements' general reader."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from svgelements import Close, Line, Move, Path

from wallwright.artwork.svg.straight_paths import straight_path

NUMBERS = st.sampled_from(["0", "1", "-2", "+3.5", ".25", "-.5", "12.75", "1e2", "4E-1", "300"])
GAPS = st.sampled_from([" ", ",", ", ", "  ", "\n"])


@st.composite
def data(draw) -> str:
    """Subpaths of two points or more, written in the ways SVG 1.1, 8.3 allows."""
    text = ""
    for _ in range(draw(st.integers(1, 4))):
        text += draw(st.sampled_from(["M", " M ", "M "]))
        for i in range(draw(st.integers(2, 6))):
            between = draw(GAPS) if draw(st.booleans()) else draw(st.sampled_from(["L", " L ", "\tL"]))
            text += (between if i else "") + draw(NUMBERS) + draw(GAPS) + draw(NUMBERS)
        text += draw(st.sampled_from(["", "Z", " z ", " "]))
    return text


@given(data())
@settings(deadline=None, max_examples=200, derandomize=True)
def test_straight_paths_are_those_of_a_general_reader(d):
    theirs: list[tuple[list, bool]] = []
    for segment in Path(d).segments():
        if isinstance(segment, Move):
            theirs.append(([(segment.end.x, segment.end.y)], False))
        elif isinstance(segment, Line):
            theirs[-1][0].append((segment.end.x, segment.end.y))
        else:
            assert isinstance(segment, Close)
            theirs[-1] = (theirs[-1][0], True)
    ours = straight_path(d)
    lone = [line for line, _ in theirs if len(set(line)) == 1]
    if not lone:
        assert [closed for _, closed in ours] == [closed for _, closed in theirs]
        for (line, closed), (points, _) in zip(ours, theirs, strict=True):
            kept = [p for i, p in enumerate(points) if i == 0 or p != points[i - 1]]
            kept = kept[:-1] if closed and len(kept) > 1 and kept[0] == kept[-1] else kept
            np.testing.assert_array_equal(line, kept)


@pytest.mark.parametrize(
    "d",
    [
        "M0 0l1 1",
        "M0 0C1 1 2 2 3 3",
        "M1 2 3",
        "M1 2L3,,4 5",
        "M1-2L3 4",
        "",
        "L1 1",
        "M1 2 L",
        "M1 2ZL3 4",
        "M1e999 2L3 4",
        "M1 2L3 4;",
    ],
)
def test_anything_else_is_left_to_the_general_reader(d):
    assert straight_path(d) is None
