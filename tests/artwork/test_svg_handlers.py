"""How elements of SVG are read: a table of handlers, contexts that do not change, sinks."""

import dataclasses

import numpy as np
import pytest

from tests.support.beside_resvg import PAGE
from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.drawing import Paint, Severity, Shape
from wallwright.artwork.svg import walk
from wallwright.artwork.svg.context import mapped
from wallwright.artwork.svg.sink import ShapeSink

RING = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0]])


def read(body: str):
    return read_artwork(PAGE.format(body).encode(), "image/svg+xml", "a.svg", 0.1)


def test_a_new_element_is_one_handler_and_one_line(monkeypatch):
    """What holds for every element holds for it too: transform, groups, clip path, opacity, use."""

    def read_spot(element, context, sink):
        centre = np.array([[float(element.node.get("x")), 0.0]])
        ring = mapped(context.to_mm(), centre + 10 * RING)
        sink.add(Shape(element.name, context.group, Paint("#ff0000"), (ring,), True))

    body = (
        '<clipPath id="c"><rect width="100" height="5"/></clipPath>'
        '<g id="g" transform="translate(20 0)" opacity=".5" clip-path="url(#c)"><spot id="s" x="7"/></g>'
        '<use href="#s" y="50"/>'
    )
    (finding,) = read('<spot x="1"/>').findings
    assert "<spot>" in finding.text and "not drawn" in finding.text
    monkeypatch.setitem(walk.HANDLERS, "spot", read_spot)
    first, copy = read(body).shapes
    assert first.group == ("g",) and first.paint.opacity == 0.5
    assert np.concatenate(first.paths).max(axis=0) == pytest.approx(np.array([37, 5]) * 25.4 / 96)
    assert np.concatenate(copy.paths).min(axis=0) == pytest.approx(np.array([7, 50]) * 25.4 / 96)


def test_contexts_cannot_be_changed(monkeypatch):
    seen = []
    monkeypatch.setitem(walk.HANDLERS, "spot", lambda element, context, sink: seen.append(context))
    read('<g fill="red"><spot/></g><spot/>')
    inner, outer = seen
    assert inner.style["fill"] == "red" and outer.style["fill"] != "red"
    with pytest.raises(dataclasses.FrozenInstanceError):
        inner.opacity = 0.5


def test_what_a_branch_finds_is_not_in_the_drawing_before_it_is_joined():
    sink = ShapeSink()
    shape = Shape("a", (), Paint("#000000"), (RING,), True)
    branch, apart = sink.branch(is_measuring=True), sink.apart()
    branch.add(shape)
    branch.add_extents([RING])
    branch.report(Severity.NOTE, "a", "found")
    apart.add(shape)
    assert not sink.shapes and [f.text for f in sink.findings] == ["found"]
    sink.join(branch, sink.layered([*branch.shapes, shape], 0.5))
    assert [s.layers for s in sink.shapes] == [(0,), (0,)] and sink.layers[0].opacity == 0.5
    assert not sink.extents and not sink.is_measuring
