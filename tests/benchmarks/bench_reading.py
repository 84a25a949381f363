"""Reading of a large SVG: 88,000 paths of 20 cubics, about 68 MB, with consent. Target: 12 s, cancellation within 200 ms.

python3 packaging/bootstrap.py bench reading
"""

from __future__ import annotations

import resource
import sys
import time

import numpy as np

PATHS, SEGMENTS = 88_000, 20


def document() -> bytes:
    """Returns an SVG of random curves, coordinates with one decimal, on a page of a square metre."""
    rng = np.random.default_rng(5)
    parts = [
        '<svg xmlns="http://www.w3.org/2000/svg" width="1000mm" height="1000mm" viewBox="0 0 1000 1000">'
        '<g id="layer" fill="none" stroke="#204080" stroke-width="0.3">'
    ]
    curve = " C" + ",".join(["%.1f"] * 6)
    for i in range(PATHS):
        points = rng.random(2) * 900 + 50 + np.cumsum(rng.normal(size=(3 * SEGMENTS, 2)) * 2, axis=0)
        head = "M{:.1f},{:.1f}".format(*points[0])
        body = (curve * SEGMENTS) % tuple(points.ravel().tolist())
        parts.append(f'<path id="path{i}" d="{head}{body}"/>')
    return ("\n".join(parts) + "</g></svg>").encode()


def main() -> int:
    from wallwright.artwork.artwork_reader import read_artwork
    from wallwright.document.reading_limits import reading

    data = document()
    gaps, last = [], time.perf_counter()

    def progress(done: float) -> None:
        nonlocal last
        now = time.perf_counter()
        gaps.append(now - last)
        last = now

    started, worked = time.perf_counter(), time.process_time()
    last = started
    with reading(is_agreed=True):
        drawing = read_artwork(data, "image/svg+xml", "large.svg", 0.02, progress)
    seconds, worked = time.perf_counter() - started, time.process_time() - worked
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    points = sum(len(p) for s in drawing.shapes for p in s.paths)
    print(f"{len(data) / 1e6:.0f} MB, {len(drawing.shapes)} shapes, {points / 1e6:.1f} million points")
    print(f"{seconds:.1f} s ({worked:.1f} s of work), {peak:.0f} MB, {1000 * max(gaps):.0f} ms between looks at cancel")
    return 0 if len(drawing.shapes) == PATHS else 1


if __name__ == "__main__":
    sys.exit(main())
