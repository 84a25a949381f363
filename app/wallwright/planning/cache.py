"""Cache of stage results by content, so that an edit recomputes only what it changed."""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable
from typing import Any, TypeVar

import msgspec
import numpy as np

Result = TypeVar("Result")


def key(*parts: Any) -> str:
    """Returns a digest of values: document types, numbers, strings, bytes, arrays, tuples of them."""
    digest = hashlib.sha256()
    for part in parts:
        if isinstance(part, np.ndarray):
            digest.update(str((part.dtype, part.shape)).encode())
            digest.update(np.ascontiguousarray(part).data)
        elif isinstance(part, bytes):
            digest.update(part)
        else:
            digest.update(msgspec.msgpack.encode(part, order="deterministic"))
        digest.update(b"\x00")
    return digest.hexdigest()


class Cache:
    """Cache of the newest results of one stage."""

    def __init__(self, size: int, most: int = 0, weight: Callable[[Any], int] = lambda result: 0) -> None:
        """size: largest number of results. most: largest total weight; the newest result is kept whatever its weight."""
        self._size, self._most, self._weight = size, most, weight
        self._kept: OrderedDict[str, Any] = OrderedDict()

    def get(self, key: str, make: Callable[[], Result]) -> Result:
        kept: Result | None = self.find(key)
        if kept is None:
            kept = make()
            self.put(key, kept)
        return kept

    def find(self, key: str) -> Any:
        """Returns the cached result, or None."""
        if key in self._kept:
            self._kept.move_to_end(key)
        return self._kept.get(key)

    def put(self, key: str, result: Any) -> None:
        self._kept[key] = result
        self._kept.move_to_end(key)
        while len(self._kept) > self._size or (len(self._kept) > 1 and self._weighs > self._most):
            self._kept.popitem(last=False)

    def make_room(self, weight: int) -> None:
        """Drops the oldest results until one of that weight fits, so that they take no memory while it is computed."""
        while self._kept and self._weighs + weight > self._most:
            self._kept.popitem(last=False)

    @property
    def _weighs(self) -> int:
        return sum(map(self._weight, self._kept.values()))
