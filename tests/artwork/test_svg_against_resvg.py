"""Reading SVG against resvg (package resvg-py): what is painted from our shapes beside resvg's own picture."""

import numpy as np
import pytest

from tests.support.beside_resvg import both, share_that_differs
from wallwright.planning.demo import ARTWORK

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" {}>{}</svg>'
PAGE = 'width="200" height="150" viewBox="0 0 200 150"'

DOCUMENTS = {
    # SVG 1.1 section 9: basic shapes.
    "shapes": HEAD.format(
        PAGE,
        '<rect x="10" y="10" width="50" height="30" rx="8" fill="teal"/><circle cx="100" cy="30" r="20" fill="#c33"/>'
        '<ellipse cx="160" cy="30" rx="30" ry="12" fill="navy"/><line x1="10" y1="60" x2="90" y2="80" stroke="black" stroke-width="4"/>'
        '<polyline points="110,60 130,90 150,60 170,90" fill="none" stroke="green" stroke-width="3"/>'
        '<polygon points="20,100 60,100 40,140" fill="orange" stroke="black"/><rect x="80" y="100" width="40" height="40" rx="30" ry="5"/>',
    ),
    # 8.3: path data with every command, relative and absolute.
    "paths": HEAD.format(
        PAGE,
        '<path d="M10 10h40v30H10zM60 20q20-30 40 0t40 0" fill="none" stroke="#05a" stroke-width="3"/>'
        '<path d="m10 80c20-40 40 40 60 0s30-30 60 10a25 15 30 1 0 40 20A25 15 30 0 1 120 130z" fill="#a50"/>',
    ),
    # 11.3: fill rules.
    "fill-rule": HEAD.format(
        PAGE,
        '<path fill-rule="evenodd" d="M10 10h80v80h-80zM30 30h40v40h-40z"/>'
        '<path d="M110 10h80v80h-80zM130 30h40v40h-40z" fill="red"/><path d="M110 100l60 40v-40l-60 40z" fill="blue"/>',
    ),
    # 7.6: nested transforms.
    "transforms": HEAD.format(
        PAGE,
        '<g transform="translate(50 40) rotate(30)"><g transform="scale(2 .5) skewX(20)">'
        '<rect x="-10" y="-20" width="30" height="40" fill="purple"/></g></g><rect width="30" height="20" transform="matrix(1 .3 -.2 1 120 50)"/>'
        '<rect x="100" y="100" width="20" height="20" transform="rotate(45 110 110)" fill="none" stroke="red" stroke-width="3"/>',
    ),
    # 7.7, 7.8: viewBox and preserveAspectRatio.
    "viewbox": HEAD.format(
        'width="200" height="150" viewBox="-10 -10 50 50" preserveAspectRatio="xMaxYMin meet"',
        '<rect x="-10" y="-10" width="50" height="50" fill="#ccc"/><circle cx="15" cy="15" r="20"/>',
    ),
    # 5.6, 7.9: use, symbol, nested svg.
    "use": HEAD.format(
        PAGE,
        '<defs><symbol id="s" viewBox="0 0 10 10"><circle cx="5" cy="5" r="4"/></symbol><g id="g"><rect width="20" height="10" fill="inherit"/></g></defs>'
        '<use href="#s" x="10" y="10" width="60" height="60" fill="red"/><use xlink:href="#g" x="100" y="20" fill="green"/>'
        '<svg x="100" y="60" width="80" height="40" viewBox="0 0 20 20"><rect width="20" height="20" fill="#88f"/></svg>',
    ),
    # 6.4 and CSS 2.1 section 6.4: cascade by specificity and order.
    "css": HEAD.format(
        PAGE,
        "<style>rect{fill:red} .a{fill:green} #b{fill:blue} g &gt; circle{stroke:black;stroke-width:3} .c{fill:orange !important}</style>"
        '<rect width="30" height="30"/><rect class="a" x="40" width="30" height="30"/><rect class="a" id="b" x="80" width="30" height="30"/>'
        '<rect class="c" x="120" width="30" height="30" style="fill:black"/><g fill="yellow"><circle cx="40" cy="80" r="20"/></g>'
        '<circle cx="100" cy="80" r="20" fill="currentColor" color="teal"/>',
    ),
    # 11.4: stroke properties.
    "strokes": HEAD.format(
        PAGE,
        '<g fill="none" stroke="black" stroke-width="10"><path d="M20 40L50 15L80 40" stroke-linejoin="round"/>'
        '<path d="M100 40L130 15L160 40" stroke-linejoin="bevel"/><path d="M20 80H80" stroke-linecap="round"/><path d="M100 80H160" stroke-linecap="square"/>'
        '<path d="M20 120H180" stroke-dasharray="15 5 3" stroke-dashoffset="7" stroke-width="6"/></g>',
    ),
    # 14.5, 11.5: opacity, visibility, display.
    "visibility": HEAD.format(
        PAGE,
        '<rect width="60" height="60" fill="red" opacity=".5"/><rect x="30" y="30" width="60" height="60" fill="blue" fill-opacity=".4"/>'
        '<rect x="100" width="40" height="40" visibility="hidden"/><rect x="150" width="40" height="40" display="none"/>'
        '<g visibility="hidden"><rect x="100" y="60" width="40" height="40" visibility="visible" fill="green"/></g>',
    ),
    # 5.8: switch takes the first child that passes.
    "switch": HEAD.format(
        PAGE,
        '<switch><rect requiredExtensions="http://example.org/none" width="90" height="90" fill="red"/>'
        '<rect width="60" height="60" fill="green"/><rect width="30" height="30" fill="blue"/></switch>',
    ),
    # 14.3: clip paths, of shapes and groups, with units, rules, transforms and nesting.
    "clip": HEAD.format(
        PAGE,
        '<defs><clipPath id="a"><circle cx="50" cy="40" r="30"/><rect x="60" y="10" width="40" height="20"/></clipPath>'
        '<clipPath id="b" clipPathUnits="objectBoundingBox"><circle cx=".5" cy=".5" r=".4"/></clipPath>'
        '<clipPath id="c"><path clip-rule="evenodd" d="M10 90h60v50h-60zM25 100h30v30h-30z"/></clipPath>'
        '<clipPath id="d" clip-path="url(#a)"><rect x="20" y="20" width="40" height="90"/></clipPath><path id="p" d="M130 90l25 50h-50z"/>'
        '<clipPath id="e"><use href="#p" transform="translate(5 0)"/></clipPath></defs>'
        '<rect x="10" y="5" width="100" height="70" fill="teal" clip-path="url(#a)"/><rect x="120" y="10" width="60" height="40" fill="#c33" clip-path="url(#b)"/>'
        '<g clip-path="url(#c)"><rect x="5" y="85" width="70" height="60" fill="navy"/></g><rect width="200" height="150" fill="orange" clip-path="url(#d)"/>'
        '<g transform="translate(10 0)" clip-path="url(#e)"><rect width="200" height="150" fill="green"/></g>',
    ),
    # 14.3.3: an inner viewport hides what leaves it, unless overflow says otherwise.
    "overflow": HEAD.format(
        PAGE,
        '<svg x="10" y="10" width="60" height="60"><circle cx="60" cy="60" r="50" fill="purple"/></svg>'
        '<svg x="100" y="10" width="40" height="40" overflow="visible"><circle cx="40" cy="40" r="35" fill="green"/></svg>',
    ),
    # 7.10: units.
    "units": HEAD.format(
        'width="60mm" height="1.5in"',
        '<rect x="1cm" y="5mm" width="2cm" height="20pt"/><circle cx="50%" cy="50%" r="10%" fill="red"/>',
    ),
}


@pytest.mark.parametrize("name", DOCUMENTS)
def test_looks_as_resvg_paints_it(name):
    ours, theirs, _ = both(DOCUMENTS[name], name)
    assert (theirs < 250).any()
    assert share_that_differs(ours, theirs, name) < 0.003


def test_the_demo_looks_as_resvg_paints_it():
    svg = ARTWORK.read_bytes().replace(b'width="240mm" height="180mm"', b'width="240" height="180"')  # whole pixels
    ours, theirs, _ = both(svg.decode(), "harbour", 960)
    assert share_that_differs(ours, theirs, "harbour") < 0.003


@pytest.mark.parametrize("name", ["shapes", "paths", "fill-rule", "transforms"])
def test_area_and_box_as_qt_paints_it(name, qapp):
    """Second judge: QtSvg. Inked area within 1 % and bounding box within a pixel."""
    from PySide6.QtCore import QByteArray
    from PySide6.QtGui import QImage, QPainter
    from PySide6.QtSvg import QSvgRenderer

    ours, _, _ = both(DOCUMENTS[name], name)
    height, width = ours.shape[:2]
    image = QImage(width, height, QImage.Format.Format_RGBA8888)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    QSvgRenderer(QByteArray(DOCUMENTS[name].encode())).render(painter)
    painter.end()
    qt = np.frombuffer(image.constBits(), np.uint8).reshape(height, width, 4)[..., :3].astype(int)
    inked = [(p < 250).any(axis=2) for p in (ours, qt)]
    assert inked[0].sum() == pytest.approx(inked[1].sum(), rel=0.01)
    for axis in (0, 1):
        ends = [np.flatnonzero(i.any(axis=axis))[[0, -1]] for i in inked]
        assert np.abs(ends[0] - ends[1]).max() <= 1
