"""A sea chart of the demo's harbour of any size: depth lines, islands, and a town of hatched houses.

Seeded: the same size always gives the same file.
"""

from __future__ import annotations

import math

import numpy as np

from wallwright.document import edits
from wallwright.document.document import Document, Fill
from wallwright.planning.demo import demo_document

WIDTH, HEIGHT = 1000.0, 750.0
AS_DRAWN = 1.27
"""Points written per segment that remains after simplification and cutting out the islands."""
SHORE = 0.36
"""Land's share of the height."""
STEP = 1.6
"""Distance between points of a depth line, mm: rough enough that simplification keeps nearly all."""


def sea_chart(segments: int) -> str:
    """Returns SVG text, 1000 mm x 750 mm, of about this many segments once its houses are hatched every 2 mm."""
    random = np.random.default_rng(segments)
    segments *= AS_DRAWN
    lines = max(2, round(0.62 * segments / (WIDTH / STEP)))
    houses = max(2, round(0.26 * segments / 10))
    trees = max(1, round(0.12 * segments / 12))
    out = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH:g}mm" height="{HEIGHT:g}mm" '
        f'viewBox="0 0 {WIDTH:g} {HEIGHT:g}"><title>Chart of the harbour</title>',
        '<g id="depths" fill="none" stroke="#1f4e8c" stroke-width="0.3">',
        *(f'<path d="{_path(p)}"/>' for p in _depths(lines, random)),
        '</g><g id="islands" fill="#ffffff" stroke="#202020" stroke-width="0.4">',
        *(f'<path d="{_path(p)}Z"/>' for p in _islands(random)),
        '</g><g id="town">',
        *_houses(houses, random),
        '</g><g id="trees" fill="none" stroke="#e08a1e" stroke-width="0.4">',
        *(f'<path d="{_path(p)}Z"/>' for p in _trees(trees, random)),
        "</g></svg>",
    ]
    return "\n".join(out)


def chart_document(segments: int) -> Document:
    """Returns the demo's wall, machine and pens with the chart in place of the harbour, hatched every 2 mm."""
    document = demo_document()
    document = edits.set_field(document, "placements", ())
    document = edits.set_field(document, "artworks", ())
    document = edits.set_field(document, "settings.fill", Fill("hatch", 2.0, math.radians(45)))
    data = sea_chart(segments).encode()
    return edits.add_artwork(document, "chart.svg", "image/svg+xml", data, (WIDTH, HEIGHT), (1050.0, 830.0), WIDTH)[0]


def _path(points: np.ndarray) -> str:
    return "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points.tolist())


def _depths(count: int, random: np.random.Generator) -> list[np.ndarray]:
    x = np.arange(0, WIDTH + STEP / 2, STEP)
    gap = HEIGHT * (0.98 - SHORE) / count
    waves = [(k, random.uniform(0, 2 * np.pi), random.uniform(0.2, 1.0) * 14 / k) for k in range(1, 9)]
    lines = []
    for i in range(count):
        y = HEIGHT * SHORE + gap * (i + 0.5)
        depth = i / count
        for k, phase, size in waves:
            y = y + size * np.sin(2 * np.pi * k * x / WIDTH + phase + 2 * depth)
        lines.append(np.column_stack([x, y + random.normal(scale=0.12, size=len(x))]))
    return lines


def _islands(random: np.random.Generator) -> list[np.ndarray]:
    angle = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    rings = []
    for x, y in random.uniform([80, HEIGHT * 0.5], [WIDTH - 80, HEIGHT * 0.9], (9, 2)):
        radius = random.uniform(10, 32) * (1 + 0.2 * np.sin(3 * angle + x) + 0.1 * np.sin(7 * angle + y))
        rings.append(np.column_stack([x + radius * np.cos(angle), y + radius * np.sin(angle)]))
    return rings


def _houses(count: int, random: np.random.Generator) -> list[str]:
    """Returns slightly rotated rectangles in a loose grid, in the pens' colours."""
    columns = math.ceil(math.sqrt(count * WIDTH / (HEIGHT * SHORE * 0.9)))
    cell = WIDTH / columns
    colours = ("#c02020", "#202020", "#e08a1e")
    found = []
    for i in range(count):
        x, y = (i % columns + 0.5) * cell, 8 + (i // columns + 0.5) * cell
        w, h = random.uniform(0.55, 0.8, 2) * cell
        found.append(
            f'<rect x="{x - w / 2:.2f}" y="{y - h / 2:.2f}" width="{w:.2f}" height="{h:.2f}" '
            f'transform="rotate({random.uniform(-25, 25):.1f} {x:.2f} {y:.2f})" fill="{colours[i % 3]}"/>'
        )
    return found


def _trees(count: int, random: np.random.Generator) -> list[np.ndarray]:
    angle = np.linspace(0, 2 * np.pi, 12, endpoint=False)
    ring = np.column_stack([np.cos(angle), np.sin(angle)])
    places = random.uniform([10, 4], [WIDTH - 10, HEIGHT * (SHORE - 0.02)], (count, 2))
    return [place + 1.1 * ring for place in places]
