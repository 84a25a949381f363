"""Where reading puts what it finds: shapes in painter's order, the layers they name, and findings."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Sequence

from wallwright.artwork.drawing import Finding, PaintLayer, PaintMask, Severity, Shape, ShapeTree
from wallwright.artwork.paints import with_opacity
from wallwright.document.arrays import Points


class ShapeSink:
    """Collects what is read. Work on part of a drawing goes into a branch first and is added when it is done."""

    def __init__(
        self,
        findings: list[Finding] | None = None,
        layers: list[PaintLayer] | None = None,
        is_measuring: bool = False,
    ) -> None:
        self._shapes: list[Shape] = []
        self._findings: list[Finding] = [] if findings is None else findings
        self._layers: list[PaintLayer] = [] if layers is None else layers
        self._extents: list[Points] | None = [] if is_measuring else None

    @property
    def shapes(self) -> Sequence[Shape]:
        """In painter's order."""
        return self._shapes

    @property
    def findings(self) -> Sequence[Finding]:
        """In the order of reading."""
        return self._findings

    @property
    def layers(self) -> Sequence[PaintLayer]:
        """What the numbers in the shapes' layers refer to."""
        return self._layers

    @property
    def is_measuring(self) -> bool:
        """Whether outlines are wanted of what paints nothing too, for the box of what is read."""
        return self._extents is not None

    @property
    def extents(self) -> Sequence[Points]:
        """Outlines met, (n, 2) mm on the page; empty when they are not wanted."""
        return self._extents or ()

    def add(self, shape: Shape) -> None:
        """Puts a shape on top of those found so far."""
        self._shapes.append(shape)

    def add_extents(self, outlines: Iterable[Points]) -> None:
        """Outlines of what was met, (n, 2) mm on the page, painted or not."""
        if self._extents is not None:
            self._extents += outlines

    def report(self, severity: Severity, element: str, text: str) -> None:
        """Adds a finding. text: one sentence about the element."""
        self._findings.append(Finding(severity, element, text))

    def branch(self, is_measuring: bool = False) -> ShapeSink:
        """A sink for part of the drawing: separate shapes and extents, the same layers and findings."""
        return ShapeSink(self._findings, self._layers, is_measuring or self.is_measuring)

    def apart(self) -> ShapeSink:
        """A sink for what is no part of the drawing, such as a pattern's tile: only findings are shared."""
        return ShapeSink(self._findings)

    def join(self, branch: ShapeSink, shapes: Iterable[Shape] | None = None) -> None:
        """Adds what a branch has found. shapes: what became of its shapes; None: they are as they were."""
        self._shapes += branch.shapes if shapes is None else shapes
        self.add_extents(branch.extents)

    def tree(self) -> ShapeTree:
        """All that was found, as a tree."""
        return ShapeTree(tuple(self._shapes), tuple(self._layers))

    def layered(self, shapes: Sequence[Shape], opacity: float = 1.0, masks: tuple[PaintMask, ...] = ()) -> list[Shape]:
        """The shapes of a branch, laid on the page as one through a new layer, or faded when they need none."""
        if len(shapes) == 1 and not shapes[0].layers and not masks:
            return [dataclasses.replace(shapes[0], paint=with_opacity(shapes[0].paint, opacity))]
        inner = shapes[0].layers[0] if shapes[0].layers else -1
        if inner >= 0 and not masks and all(s.layers[:1] == (inner,) for s in shapes):
            # A group that holds nothing but a group: one layer, faded twice.
            layer = self._layers[inner]
            self._layers[inner] = dataclasses.replace(layer, opacity=layer.opacity * opacity)
            return list(shapes)
        number = len(self._layers)
        self._layers.append(PaintLayer(opacity, masks))
        return [dataclasses.replace(s, layers=(number, *s.layers)) for s in shapes]
