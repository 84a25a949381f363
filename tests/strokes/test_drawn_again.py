"""What is kept from the last time changes nothing: strokes drawn anew, or among others, are to the bit those from nothing."""

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.examples import examples
from tests.support.jobs import document_of
from wallwright.document.document import Fill, Ink
from wallwright.document.edits import set_placement
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner
from wallwright.strokes.double_ink import OverlapIndex
from wallwright.strokes.stroke_generation import StrokeStyle, generate_strokes
from wallwright.strokes.strokes import Strokes
from wallwright.strokes.visibility import VisibleShape

TOLERANCE = 0.0125


def same(one: Strokes, other: Strokes) -> None:
    for field in ("points", "offsets", "pen", "source", "is_fill"):
        np.testing.assert_array_equal(getattr(one, field), getattr(other, field))


def lattice_strokes(seed: int) -> Strokes:
    """A few strokes from corner to corner of squares of 5 mm in a small field: many lie on each other."""
    random = np.random.default_rng(seed)
    count = random.integers(0, 4)
    ways = [np.cumsum(random.integers(-1, 2, (random.integers(2, 6), 2)), axis=0) for _ in range(count)]
    lines = [5.0 * (way + random.integers(0, 12, 2)) for way in ways]
    kinds = random.integers(0, 4, count)
    return Strokes.pack(lines, kinds // 2, np.arange(count), (kinds % 2 == 0) & (random.random(count) < 0.3))


@given(
    st.lists(st.integers(0, 400), min_size=1, max_size=30, unique=True),
    st.lists(st.dictionaries(st.integers(0, 29), st.none() | st.integers(500, 900), max_size=4), max_size=3),
)
@settings(deadline=None, max_examples=examples(80), derandomize=True)
def test_overlaps_kept_are_those_found_again(seeds, edits):
    """Parts are changed, and taken out, several times. Every third one shows what is under it."""
    parts = {i: lattice_strokes(seed) for i, seed in enumerate(seeds)}
    laps = OverlapIndex()

    def found(laps: OverlapIndex) -> Strokes:
        see_through = np.array([n % 3 == 0 for n in sorted(parts)], dtype=bool)
        return laps.without([parts[n] for n in sorted(parts)], TOLERANCE, see_through=see_through)

    same(found(laps), found(OverlapIndex()))
    for edit in edits:
        for number, seed in edit.items():
            if seed is None:
                parts.pop(number, None)
            else:
                parts[number] = lattice_strokes(seed)
        same(found(laps), found(OverlapIndex()))


def test_many_overlaps_are_found_in_these_cases():
    """Else the property above would say little."""
    found = 0
    for first in range(0, 400, 10):
        parts = [lattice_strokes(first + n) for n in range(10)]
        whole = Strokes.join(parts)
        found += whole.lengths().sum() > OverlapIndex().without(parts, TOLERANCE).lengths().sum() + 1
    assert found > 30


@given(st.integers(0, 10_000), st.sampled_from(["none", "hatch", "cross-hatch", "contour", "zigzag"]))
@settings(deadline=None, max_examples=examples(12), derandomize=True)
def test_a_thing_among_others_is_drawn_as_by_itself(seed, kind):
    """Regions of all widths, thinner than the pen too, and lines."""
    random = np.random.default_rng(seed)
    items = []
    for number in range(12):
        way = shapely.LineString(np.cumsum(random.uniform(-20, 20, (random.integers(2, 7), 2)), axis=0))
        region = way.buffer(random.choice([0.3, 0.8, 2.0, 6.0]), cap_style="flat", join_style="mitre", mitre_limit=3.0)
        is_line = random.random() < 0.2
        items.append(VisibleShape(number, "#000000", 1.0, None if is_line else region, way if is_line else None))
    style = StrokeStyle(1, 2.0, True, Fill(kind, 3.0, 0.7))
    sources = range(100, 112)
    together = generate_strokes(items, sources, dict.fromkeys(range(12), style), TOLERANCE)
    assert sum(map(len, together.values())) > 12
    for number in range(12):
        same(together[number], generate_strokes(items, sources, {number: style}, TOLERANCE)[number])


COLOURS = ("#c02020", "#1f4e8c", "#202020")


def patchwork(seed: int) -> bytes:
    """Squares beside each other that share their edges, in three colours and a few groups."""
    random = np.random.default_rng(seed)
    cells = [(x, y) for x in range(6) for y in range(6)]
    squares = "".join(
        f'<g id="g{random.integers(4)}"><rect x="{10 * x}" y="{10 * y}" width="10" height="{random.choice([10, 10, 15])}" '
        f'fill="{COLOURS[random.integers(3)]}" stroke="#202020" stroke-width="0.1"/></g>'
        for x, y in cells
    )
    return f'<svg xmlns="http://www.w3.org/2000/svg" width="70mm" height="70mm" viewBox="0 0 70 70">{squares}</svg>'.encode()


@given(st.integers(0, 200), st.integers(0, 2), st.integers(0, 3), st.floats(2, 9))
@settings(deadline=None, max_examples=examples(4), derandomize=True)
def test_another_hatch_of_one_group_gives_what_a_fresh_plan_gives(seed, colour, group, spacing):
    document = document_of(patchwork(seed), natural=(70.0, 70.0), width=400.0, fill="hatch")
    runner = Runner()
    runner.run(Request(1, document, Goal.PREVIEW))
    ink = Ink(COLOURS[colour], document.pens[0].id, fill=Fill("hatch", spacing, 0.3), group=(f"g{group}",))
    edited = set_placement(document, document.placements[0].id, inks=(ink,))
    kept = runner.run(Request(2, edited, Goal.PREVIEW)).preview
    fresh = Runner().run(Request(3, edited, Goal.PREVIEW)).preview
    same(kept.strokes, fresh.strokes)
    np.testing.assert_array_equal(kept.outside.bits, fresh.outside.bits)
