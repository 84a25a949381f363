"""Structure of SVG documents, one feature a document, against resvg (package resvg-py)."""

import pytest

from tests.artwork.documents import structure
from tests.support.beside_resvg import MOST, both, share_that_differs

SECTIONS: dict[str, list[str]] = {}
for _name, (_section, _svg) in structure.DOCUMENTS.items():
    SECTIONS.setdefault(_section, []).append(_name)


@pytest.mark.parametrize("section", SECTIONS)
def test_structure_looks_as_resvg_paints_it(section):
    off = {}
    for name in SECTIONS[section]:
        if name in structure.DIFFERENT:
            continue
        mine, judge, _ = both(structure.DOCUMENTS[name][1], name)
        share = share_that_differs(mine, judge, name)
        if share >= MOST:
            off[name] = share
    assert off == {}
