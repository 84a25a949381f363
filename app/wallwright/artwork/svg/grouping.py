"""What happens to an element as a whole: its clip path, its masks and its opacity (SVG 2, 3.6; CSS Masking 1)."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from wallwright.artwork.drawing import Shape
from wallwright.artwork.svg.boxes import box_within
from wallwright.artwork.svg.clip import clip_shapes
from wallwright.artwork.svg.colours import share
from wallwright.artwork.svg.context import ReadingContext
from wallwright.artwork.svg.masks import mask_shapes
from wallwright.artwork.svg.sink import ShapeSink

NOTHING = ("none", "")


@contextmanager
def grouped(context: ReadingContext, sink: ShapeSink, name: str) -> Iterator[ShapeSink]:
    """Gives a sink; what is put into it is clipped, masked and faded as the element's style says, then goes into `sink`."""
    style, is_clip = context.style, context.is_clip
    clip, mask = style["clip-path"] not in NOTHING, style["mask"] not in NOTHING and not is_clip
    opacity = 1.0 if is_clip else share(style["opacity"])
    if not (clip or mask or opacity < 1):
        yield sink
        return
    inner = sink.branch(is_measuring=clip or mask)
    yield inner
    box = box_within(inner.extents, context.to_mm()) if clip or mask else None
    shapes: Sequence[Shape] = inner.shapes if opacity > 0 else ()
    if clip and inner.shapes:
        shapes = clip_shapes(shapes, context, sink, name, box)
    if mask and shapes:
        shapes = mask_shapes(shapes, context, sink, name, box)
    if opacity < 1 and shapes:
        shapes = sink.layered(shapes, opacity)
    sink.join(inner, shapes)
