"""LRU cache of finished tiles by sheet, scale and place."""

from __future__ import annotations

import math
from dataclasses import dataclass

from wallwright.window.ink.tile import TilePicture


@dataclass
class _Entry:
    picture: TilePicture
    used: int


class TileCache:
    """Tiles of all sheets of a layer. For use in the GUI thread."""

    def __init__(self, most_bytes: int) -> None:
        self._most_bytes = most_bytes
        self._tiles: dict[tuple[int, float], dict[tuple[int, int], _Entry]] = {}
        self.bytes = 0
        self.frame = 0
        """Number of the current frame, the time of use of tiles."""

    def put(self, sheet: int, scale: float, place: tuple[int, int], picture: TilePicture) -> None:
        """Stores a tile, replacing an earlier one."""
        tiles = self._tiles.setdefault((sheet, scale), {})
        old = tiles.get(place)
        self.bytes += picture.bytes - (old.picture.bytes if old else 0)
        tiles[place] = _Entry(picture, self.frame)
        if self.bytes > self._most_bytes:
            self._make_room()

    def get(self, sheet: int, scale: float, place: tuple[int, int]) -> TilePicture | None:
        """Returns the tile, or None."""
        entry = self._tiles.get((sheet, scale), {}).get(place)
        if entry is None:
            return None
        entry.used = self.frame
        return entry.picture

    def scales_near(self, sheet: int, scale: float) -> list[float]:
        """Returns other scales with tiles of the sheet, px/mm, nearest first."""
        scales = [s for of, s in self._tiles if of == sheet and s != scale]
        return sorted(scales, key=lambda s: (abs(math.log(s / scale)), s))

    def drop(self, sheet: int) -> None:
        """Drops the tiles of a sheet."""
        for key in [key for key in self._tiles if key[0] == sheet]:
            self.bytes -= sum(entry.picture.bytes for entry in self._tiles.pop(key).values())

    def _make_room(self) -> None:
        """Drops the least recently used tiles down to three quarters, but none of the current frame."""
        entries = [(entry.used, key, place) for key, tiles in self._tiles.items() for place, entry in tiles.items()]
        for used, key, place in sorted(entries):
            if self.bytes <= 0.75 * self._most_bytes or used >= self.frame:
                break
            self.bytes -= self._tiles[key].pop(place).picture.bytes
            if not self._tiles[key]:
                del self._tiles[key]
