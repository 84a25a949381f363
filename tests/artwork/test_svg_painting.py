"""Painting in SVG documents, one rule a document, against resvg (package resvg-py)."""

import pytest

from tests.artwork.documents import clips, colours, gradients, markers, masks, mixed, patterns, strokes
from tests.support.beside_resvg import MOST, PAGE, both, share_that_differs

MODULES = {
    "SVG 2, 14.2: gradients": gradients,
    "SVG 2, 14.3: patterns": patterns,
    "CSS Masking 1, 5: clip paths": clips,
    "CSS Masking 1, 7: masks": masks,
    "SVG 2, 13.5: strokes": strokes,
    "SVG 2, 13.7: markers": markers,
    "CSS Color 4 and SVG 2, 13.2: paint": colours,
    "together": mixed,
}
DIFFERENT = {
    "chain-attributes": "SVG 2, 14.2.2: gradientTransform is taken over through href; resvg does not",
    "chain-linear-from-radial": "as before",
    "href-attributes": "SVG 2, 14.3.1: patternTransform likewise",
    "dash-bad": "CSS Syntax 3: a list that cannot be read is dropped whole; resvg keeps its head",
    "non-scaling": "SVG 2, 8.13: resvg has no vector-effect",
    "dash-square-zero-gap": "resvg's seams between dashes that touch",
    "ref-words": "SVG 2, 13.7.2: refX by word; resvg has numbers only",
    "ref-words-corner": "as before",
    "ref-percent": "as before",
    "auto-two-closed": "SVG 2, 13.7.4: the start of a closed subpath is turned halfway; resvg only looks ahead",
    "auto-after-close": "as before",
    "auto-arc": "an arc has no inner points; resvg puts markers where it cuts arcs into curves",
    "on-ellipse": "as before",
    "big-stroke-circle": "SVG 2, 13.5: a line wider than its circle fills it; resvg leaves a hole",
    "rings": "64 rings of 6 units: 0.4 % where the judge's small circles are coarser than ours",
    "fill-rgba-percent": "CSS Color 4, 4.2.1: opacity may be a percentage; resvg takes it for unknown",
    "style-rgba-percent": "as before",
    "stroke-rgba-percent": "as before",
}
"""Documents on which we part from the judge, and why."""


def parts(first: int, step: int) -> list[tuple[str, str]]:
    return [(rule, name) for rule, m in MODULES.items() for name in list(m.DOCUMENTS)[first::step]]


def check(rule: str, name: str) -> None:
    ours, theirs, _ = both(PAGE.format(MODULES[rule].DOCUMENTS[name]), name)
    share = share_that_differs(ours, theirs, name)
    if name not in DIFFERENT:
        assert share < MOST
    else:
        assert share >= MOST, "no longer different: take it off the list"


@pytest.mark.parametrize(("rule", "name"), parts(0, 4))
def test_looks_as_resvg_paints_it(rule, name):
    check(rule, name)


@pytest.mark.slow
@pytest.mark.parametrize(("rule", "name"), parts(1, 4) + parts(2, 4) + parts(3, 4))
def test_looks_as_resvg_paints_it_too(rule, name):
    check(rule, name)
