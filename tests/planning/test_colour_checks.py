"""Colours that no pen comes near are named before anything is drawn. Differences are CIEDE2000 (CIE 142-2001)."""

from __future__ import annotations

import pytest

from tests.support.jobs import document_of, planned
from wallwright.document import edits
from wallwright.document.document import Document, Pen

BLACK, YELLOW, BROWN, GREEN = (
    Pen("black", "Black", "#202020", 2.0),
    Pen("yellow", "Yellow", "#f3c300", 2.0),
    Pen("brown", "Brown", "#654522", 2.0),
    Pen("green", "Green", "#008856", 2.0),
)
LEAF = b'<rect x="5" y="5" width="40" height="90" fill="#2f9f4a"/><rect x="60" y="5" width="35" height="90" fill="#f3c300"/>'


def notes(*pens: Pen, art: bytes = LEAF) -> list[str]:
    page = b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">%s</svg>'
    document: Document = document_of(page % art, centre=(1000.0, 950.0), width=200.0)
    checks = planned(edits.replace(document, pens=pens)).plan.checks
    return [check.text for check in checks if check.id == "colours"]


def test_a_green_leaf_without_a_green_pen_is_named():
    (text,) = notes(BLACK, YELLOW, BROWN)
    assert "Green (#2f9f4a)" in text and "#f3c300" not in text and "Which pens to buy" in text


@pytest.mark.parametrize("pens", [(BLACK, YELLOW, GREEN), (BLACK,)])
def test_nothing_is_said_where_a_pen_comes_near_or_only_one_is_there(pens):
    assert notes(*pens) == []


def test_a_speck_is_not_named():
    art = LEAF.replace(b"#2f9f4a", b"#f3c300") + b'<rect x="50" y="50" width="4" height="4" fill="#2f9f4a"/>'
    assert notes(BLACK, YELLOW, BROWN, art=art) == []
