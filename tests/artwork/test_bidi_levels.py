"""Levels of bidirectional text, against the crate unicode-bidi (package python-bidi), which reorders strings."""

import unicodedata

import pytest
from bidi import get_display
from hypothesis import given
from hypothesis import strategies as st

from wallwright.artwork.glyphs.bidi_levels import levels_of, visual_order

ALPHABET = (
    "ab1٣اב\u0300 .,+-/$%()[]{}<>\t\u200d\u200e\u200f\u061c\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)
"""A character or two of every class, and all the marks that steer direction."""
STEERING = "\u202a\u202b\u202c\u202d\u202e"
"""What rule X9 removes, and the judge with it."""


def reordered(text: str, is_rtl: bool) -> str:
    """The text as it is seen (L2), its brackets not mirrored, which is left to shaping."""
    return "".join(text[i] for i in visual_order(levels_of(text, is_rtl)))


def without(text: str, marks: str) -> str:
    return "".join(c for c in text if c not in marks and unicodedata.bidirectional(c) != "BN")


@given(st.text(ALPHABET, max_size=16), st.booleans())
def test_order_is_that_of_the_judge(text, is_rtl):
    text = ("א" if is_rtl else "") + text  # without such a letter the judge leaves out rule L1
    judge = get_display(text, base_dir="R" if is_rtl else "L")
    assert without(reordered(text, is_rtl), STEERING) == without(judge, STEERING)


@pytest.mark.parametrize(
    ("text", "is_rtl", "levels"),
    [
        ("abc", False, [0, 0, 0]),
        ("abc", True, [2, 2, 2]),
        ("אב", False, [1, 1]),
        ("a אב 12 b", False, [0, 0, 1, 1, 1, 2, 2, 0, 0]),
        ("א(ב)", True, [1, 1, 1, 1]),
        ("אa(ב)", False, [1, 0, 0, 1, 0]),  # N0: the brackets go with the line, the letter in them does not
        ("", False, []),
    ],
)
def test_levels(text, is_rtl, levels):
    """Worked by hand by the rules of UAX 9."""
    assert levels_of(text, is_rtl) == levels
