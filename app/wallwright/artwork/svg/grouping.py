"""What happens to an element as a whole: its clip path, its masks and its opacity (SVG 2, 3.6; CSS Masking 1)."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from wallwright.artwork.drawing import PaintLayer, PaintMask
from wallwright.artwork.paints import with_opacity
from wallwright.artwork.svg.boxes import box_within
from wallwright.artwork.svg.clip import clip_shapes
from wallwright.artwork.svg.colours import share
from wallwright.artwork.svg.context import Place
from wallwright.artwork.svg.masks import mask_shapes

if TYPE_CHECKING:
    from wallwright.artwork.svg.walk import Reader

NOTHING = ("none", "")


@contextmanager
def grouped(reader: Reader, name: str, place: Place) -> Iterator[None]:
    """What the reader finds inside is clipped, masked and faded as the element's style says."""
    style = place.style
    clip, mask = style["clip-path"] not in NOTHING, style["mask"] not in NOTHING and not reader.clipping
    opacity = 1.0 if reader.clipping else share(style["opacity"])
    if not (clip or mask or opacity < 1):
        yield
        return
    first, outer = len(reader.shapes), reader.extents
    if clip or mask:
        reader.extents = []
    yield
    if clip or mask:
        box = box_within(reader.extents, place.to_mm())
        if outer is not None:
            outer += reader.extents
        reader.extents = outer
    if len(reader.shapes) == first:
        return
    if opacity <= 0:
        del reader.shapes[first:]
    if clip:
        clip_shapes(reader, first, style["clip-path"], place, name, box)
    if mask and len(reader.shapes) > first:
        mask_shapes(reader, first, style["mask"], place, name, box)
    if 0 < opacity < 1 and len(reader.shapes) > first:
        into_layer(reader, first, opacity)


def into_layer(reader: Reader, first: int, opacity: float, masks: tuple[PaintMask, ...] = ()) -> None:
    """Lays what was found since shape number `first` on the page as one."""
    found = reader.shapes[first:]
    if len(found) == 1 and not found[0].layers and not masks:
        reader.shapes[first] = dataclasses.replace(found[0], paint=with_opacity(found[0].paint, opacity))
        return
    inner = found[0].layers[0] if found[0].layers else -1
    if inner >= 0 and not masks and all(s.layers[:1] == (inner,) for s in found):
        # A group that holds nothing but a group: one layer, faded twice.
        layer = reader.layers[inner]
        reader.layers[inner] = dataclasses.replace(layer, opacity=layer.opacity * opacity)
        return
    number = len(reader.layers)
    reader.layers.append(PaintLayer(opacity, masks))
    reader.shapes[first:] = [dataclasses.replace(s, layers=(number, *s.layers)) for s in found]
