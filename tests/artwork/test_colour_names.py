"""Everyday names of colours against those of a published list."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wallwright.artwork.colour import name_of, names_of

KEYWORDS = {
    "Black": ("#000000",),
    "White": ("#ffffff", "#fffafa", "#f5f5f5"),  # white, snow, whitesmoke
    "Grey": ("#808080", "#696969"),  # gray, dimgray
    "Light grey": ("#d3d3d3",),
    "Red": ("#ff0000", "#dc143c"),  # red, crimson
    "Dark red": ("#8b0000",),
    "Orange": ("#ffa500", "#ff8c00"),  # orange, darkorange
    "Yellow": ("#ffff00", "#ffd700"),  # yellow, gold
    "Light yellow": ("#ffffe0",),
    "Green": ("#008000", "#00ff00", "#228b22"),  # green, lime, forestgreen
    "Light green": ("#90ee90",),
    "Dark green": ("#006400",),
    "Turquoise": ("#008080", "#20b2aa"),  # teal, lightseagreen
    "Blue": ("#0000ff", "#0000cd", "#4169e1"),  # blue, mediumblue, royalblue
    "Light blue": ("#add8e6", "#87ceeb", "#87cefa"),  # lightblue, skyblue, lightskyblue
    "Dark blue": ("#00008b", "#000080"),  # darkblue, navy
    "Violet": ("#800080", "#4b0082"),  # purple, indigo
    "Light violet": ("#e6e6fa",),  # lavender
    "Pink": ("#ffc0cb", "#ff69b4", "#ff1493", "#c71585"),  # pink, hotpink, deeppink, mediumvioletred
    "Brown": ("#a52a2a", "#8b4513"),  # brown, saddlebrown
    "Light brown": ("#d2b48c",),  # tan
}
"""Named colours of CSS Color Module Level 4 (W3C), section 6.1, by the everyday word that their keyword contains or means."""


@pytest.mark.parametrize(("name", "colour"), [(name, colour) for name, many in KEYWORDS.items() for colour in many])
def test_colours_have_the_names_of_the_css_list(name, colour):
    assert name_of(colour) == name


def test_colours_of_one_name_are_numbered_from_light_to_dark():
    assert names_of(["#004000", "#2f8f3a", "#d02020", "#46b04a"]) == ["Dark green", "Green 2", "Red", "Green 1"]


@given(st.lists(st.integers(0, 2**24 - 1).map("#{:06x}".format), unique=True, max_size=30))
def test_no_two_colours_share_a_name(colours):
    assert len(set(names_of(colours))) == len(colours)
