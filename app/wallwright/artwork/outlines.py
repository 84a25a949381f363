"""What lines with a width cover, as many small convex pieces (SVG 2, 13.5).

Every segment is a rectangle, every corner and end a piece of its own, all turned the same way: filled by the nonzero
rule they are the line, however sharply it turns.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from wallwright.document.arrays import Floats, Integers, Points

SMALL_TURN = np.radians(8)
"""Corners that turn less are pointed, whatever the join: the tip stands out by 0.06 % of the width."""
FEWEST = 12
MOST = 180
"""Chords of a whole turn in round joins and caps."""


def line_pieces(
    paths: Sequence[Points],
    closed: Sequence[bool],
    width: float,
    cap: str,
    join: str,
    miter_limit: float,
    flatness: float,
) -> list[Points]:
    """(k, m, 2) arrays of k pieces with m corners each, one array a kind of piece, wound alike.

    paths: (n, 2) centrelines; closed: whether each closes on itself, its first point not repeated. width and flatness
    in the same unit. miter_limit as in SVG: length of a miter over the width.
    """
    half = width / 2
    chord = 2 * np.arccos(np.clip(1 - flatness / max(half, 1e-12), -1, 1))
    count = int(np.ceil(np.pi / np.clip(chord, 2 * np.pi / MOST, 2 * np.pi / FEWEST)))
    pieces: list[Points] = []
    for points, is_closed in zip(paths, closed, strict=True):
        ring = np.concatenate([points, points[:1]]) if is_closed else points
        way = np.diff(ring, axis=0)
        far = np.hypot(way[:, 0], way[:, 1])
        keep = far > 0
        if not keep.any():
            continue
        starts, ends, far = ring[:-1][keep], ring[1:][keep], far[keep]
        way = way[keep] / far[:, None]
        side = half * _left(way)
        # Corners of the segments' strips, left and right, at their starts and ends.
        strip = np.stack([starts + side, starts - side, ends - side, ends + side], axis=1)
        if is_closed:
            before, after = np.arange(len(way)) - 1, np.arange(len(way))
        else:
            before, after = np.arange(len(way) - 1), np.arange(1, len(way))
        if len(after) and not (is_closed and len(way) == 1):
            _corners(pieces, strip, ends[before], before, after, way, far, half, join, miter_limit, count)
        pieces.append(strip)
        if not is_closed and cap in ("square", "round"):
            tips, out = np.stack([starts[0], ends[-1]]), np.stack([-way[0], way[-1]])
            across = half * _left(out)
            if cap == "square":
                deep = half * out
                pieces.append(
                    np.stack([tips + across, tips - across, tips - across + deep, tips + across + deep], axis=1)
                )
            else:
                angle = np.linspace(-np.pi / 2, np.pi / 2, count + 1)[:, None, None]
                arc = tips + np.cos(angle) * half * out + np.sin(angle) * across
                pieces.append(arc.transpose(1, 0, 2))
    return [_wound(piece) for piece in pieces if len(piece)]


def _corners(
    pieces: list[Points],
    strip: Floats,
    at: Floats,
    before: Integers,
    after: Integers,
    way: Floats,
    far: Floats,
    half: float,
    join: str,
    miter_limit: float,
    count: int,
) -> None:
    """Appends what fills the outside of corners at points (k, 2), between segments before and after.

    Where the segments are long enough for it, the strips are cut back to where their inner edges meet, so that no
    place near an edge is covered twice.
    """
    into, out = way[before], way[after]
    cross = into[:, 0] * out[:, 1] - into[:, 1] * out[:, 0]
    turn = np.abs(np.arctan2(cross, (into * out).sum(axis=1)))
    is_left = cross > 0  # the inside of the corner is on the left
    with np.errstate(divide="ignore"):
        ratio = 1 / np.cos(turn / 2)  # length of the miter over the width
    reach = half * np.tan(np.minimum(turn, np.pi - 1e-6) / 2)  # along the edges, from square of the corner to the miter
    fits = reach <= 0.5 * np.minimum(far[before], far[after])
    outside = np.where(is_left, -half, half)[:, None]
    first, last = at + outside * _left(into), at + outside * _left(out)
    tip = first + reach[:, None] * into
    inner = np.where(fits[:, None], at - (tip - at), at)
    pointed = (turn < SMALL_TURN) | (join.startswith("miter") & (ratio <= miter_limit))
    # At starts the strip's corners are 0 left and 1 right, at ends 3 left and 2 right.
    inside_of = np.where(is_left, 0, 1)
    shared = fits & (turn > 0)
    strip[after[shared], inside_of[shared]] = inner[shared]
    strip[before[shared], 3 - inside_of[shared]] = inner[shared]
    shared &= pointed
    strip[after[shared], 1 - inside_of[shared]] = tip[shared]
    strip[before[shared], 2 + inside_of[shared]] = tip[shared]
    bent = (turn > 1e-9) & ~shared
    pieces.append(np.stack([inner, first, tip, last], axis=1)[bent & pointed])
    rest = bent & ~pointed
    inner, first, last, tip, at = inner[rest], first[rest], last[rest], tip[rest], at[rest]
    if join == "round":
        share = np.linspace(0, 1, count + 1)[:, None, None]
        turned = np.where(is_left, turn, -turn)[rest][:, None]
        cos, sin = np.cos(share * turned), np.sin(share * turned)
        arc = at + cos * (first - at) + sin * _left(first - at)
        pieces.append(np.concatenate([inner[None], arc]).transpose(1, 0, 2))
    elif join == "miter-clip":
        # The tip is cut at half the limit's length from the corner (SVG 2, 13.5.5).
        angle = turn[rest] / 2
        deep = np.maximum(miter_limit * half - half * np.cos(angle), 0.0)
        along = np.minimum(deep / np.maximum(np.sin(angle), 1e-9), reach[rest])[:, None]
        pieces.append(np.stack([inner, first, first + along * into[rest], last - along * out[rest], last], axis=1))
    else:
        pieces.append(np.stack([inner, first, last], axis=1))


def _left(way: Floats) -> Floats:
    """(k, 2) vectors a quarter turn on."""
    return np.column_stack([-way[:, 1], way[:, 0]])


def _wound(pieces: Floats) -> Floats:
    """(k, m, 2) pieces with a positive area each."""
    following = np.roll(pieces, -1, axis=1)
    area = (pieces[..., 0] * following[..., 1] - pieces[..., 1] * following[..., 0]).sum(axis=1)
    return np.where((area < 0)[:, None, None], pieces[:, ::-1], pieces)
