"""Edits of the photo of the wall shown behind the artwork."""

from __future__ import annotations

import numpy as np

from wallwright.document.document import Artwork, Document, Photo
from wallwright.document.edits import file_title, replace, unused_id
from wallwright.document.homography import homography
from wallwright.document.wall import Point


def add_photo(document: Document, name: str, media: str, data: bytes, size: tuple[int, int]) -> Document:
    """Sets or replaces the photo, undistorted in the middle of the wall. size: width and height, pixels."""
    document = remove_photo(document)
    artwork = next((a for a in document.artworks if a.data == data and a.media == media), None)
    if artwork is None:
        artwork = Artwork(unused_id([a.id for a in document.artworks], "artwork"), file_title(name), media, data)
        document = replace(document, artworks=(*document.artworks, artwork))
    wall = document.wall
    scale = min(wall.width / size[0], wall.height / size[1])
    x, y = wall.left + wall.width / 2, wall.top + wall.height / 2
    w, h = size[0] * scale / 2, size[1] * scale / 2
    seen = ((0.0, 0.0), (float(size[0]), 0.0), (float(size[0]), float(size[1])), (0.0, float(size[1])))
    places = ((x - w, y - h), (x + w, y - h), (x + w, y + h), (x - w, y + h))
    return replace(document, photo=Photo(artwork.id, seen, places))


def straighten_photo(document: Document, seen: tuple[Point, ...], places: tuple[Point, ...]) -> Document:
    """Maps four points of the photo (pixels) to the wall (mm). Raises BadValue when they do not define a map."""
    homography(np.array(seen, dtype=np.float64), np.array(places, dtype=np.float64))
    assert document.photo is not None, "there is no photo to straighten"
    return replace(document, photo=replace(document.photo, seen=seen, places=places))


def remove_photo(document: Document) -> Document:
    """Removes the photo, and its file unless it is drawn as artwork."""
    if document.photo is None:
        return document
    shown = {p.artwork for p in document.placements}
    file = document.photo.artwork
    artworks = tuple(a for a in document.artworks if a.id != file or a.id in shown)
    return replace(document, photo=None, artworks=artworks)
