"""What of strokes lies outside the draw zone, and why: shapely measures the pieces, the zone's own test every place."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.examples import examples
from tests.support.jobs import SQUARE, document_of, planned
from wallwright.document import edits, edits_arrangement, edits_keep_outs
from wallwright.document.document import Document, Ink
from wallwright.document.wall import Wall
from wallwright.jobs.checks import Remedy
from wallwright.planning.demo import demo_document
from wallwright.planning.outside_zone import OutsideZone, clip_to_zone, points_outside, strokes_outside
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limit_sentences import describe_excesses
from wallwright.statics.limits import PRIORITY, Limit, broken, primary_limit
from wallwright.statics.pose import inverse_kinematics
from wallwright.strokes.strokes import Strokes

DOCUMENT = Document()
PLACE = DOCUMENT.hangings[0]


def strokes_of(*lines) -> Strokes:
    lines = [np.array(line, dtype=float) for line in lines]
    offsets = np.concatenate([[0], np.cumsum([len(line) for line in lines])]).astype(np.int64)
    k = len(lines)
    return Strokes(
        np.concatenate(lines),
        offsets,
        np.arange(k, dtype=np.int32),
        np.arange(k, dtype=np.int32),
        np.zeros(k, dtype=bool),
    )


points = st.tuples(st.floats(20, 1980), st.floats(-50, 2150))


@given(st.lists(st.lists(points, min_size=1, max_size=5), min_size=1, max_size=4))
@settings(max_examples=examples(10), deadline=None, derandomize=True)
def test_pieces_and_what_clipping_leaves_are_the_whole_and_apart(lines):
    strokes = strokes_of(*lines)
    outside = strokes_outside(DOCUMENT, PLACE, strokes)
    left = clip_to_zone(DOCUMENT, PLACE, strokes)
    assert outside.pieces.lengths().sum() + left.lengths().sum() == pytest.approx(
        strokes.lengths().sum(), abs=0.01 * (len(strokes) + len(left) + len(outside.broken))
    )
    for piece, own, bits in zip(outside.pieces, outside.pieces.source, outside.broken, strict=True):
        assert bits
        line = shapely.LineString(strokes[own]) if len(strokes[own]) > 1 else shapely.Point(strokes[own][0])
        assert line.distance(shapely.points(piece)).max() < 1e-6
    middles = [(p[:-1] + p[1:]) / 2 for p in outside.pieces if len(p) > 1 and np.ptp(p, axis=0).max() > 0.1]
    if middles:
        assert points_outside(DOCUMENT, PLACE, np.concatenate(middles)).all()


def test_one_long_line_is_marked_only_where_it_is_outside():
    outside = strokes_outside(DOCUMENT, PLACE, strokes_of([(1000, 900), (60, 900)]))
    assert outside.bits.tolist()[0] != 0  # of the whole leg, for who leaves out strokes
    ends = outside.pieces.points[:, 0]
    assert ends.min() == 60 and 100 < ends.max() < 600
    inside = points_outside(DOCUMENT, PLACE, np.array([[ends.max() + 0.01, 900.0]]))
    assert inside.tolist() == [0]


def test_a_tip_that_just_leaves_the_zone_is_cut_off():
    """A tip between two looked-at points inside: what is left are two strokes, not one bridged over the tip."""
    edge = strokes_outside(DOCUMENT, PLACE, strokes_of([(1000, 900), (60, 900)])).pieces.points[:, 0].max()
    tip = strokes_of([(edge + 6, 896.0), (edge - 3, 900.0), (edge + 6, 904.0)])
    left = clip_to_zone(DOCUMENT, PLACE, tip)
    assert len(left) == 2
    assert len(strokes_outside(DOCUMENT, PLACE, tip).pieces) == 1


def test_the_most_telling_limit_is_one_of_those_broken():
    bits = np.arange(512, dtype=np.uint16)
    one = primary_limit(bits)
    assert one[0] == 0 and ((one & bits) == one).all()
    for limit in PRIORITY:
        assert primary_limit(np.array([limit], dtype=np.uint16)).tolist() == [limit]
    both = np.array([Limit.SLACK | Limit.KEEP_OUT, Limit.TILT | Limit.SLACK], dtype=np.uint16)
    assert primary_limit(both).tolist() == [Limit.KEEP_OUT, Limit.SLACK]


def reasons_at(document: Document, x: float, y: float) -> list[str]:
    rig = CableRobotModel.of(document.machine, document.hangings[0])
    pose = inverse_kinematics(rig, np.array([[x, y]], dtype=float))
    bits = int(broken(document.wall, document.machine, rig, pose)[0])
    return describe_excesses(document.wall, document.machine, rig, pose, bits)


def test_sentences_tell_by_how_much():
    (text,) = [t for t in reasons_at(DOCUMENT, 1000, 2150) if t.startswith("Floor")]
    outline = np.array(DOCUMENT.machine.body.outline)  # hangs level in the middle
    low, floor, gap = 2150 + outline[:, 1].max(), DOCUMENT.wall.floor, DOCUMENT.machine.limits.edge_gap
    assert f"{low - floor:.0f} mm over it" in text and f"keep {gap:.0f} mm" in text
    texts = reasons_at(DOCUMENT, 160, 1500)
    least = DOCUMENT.machine.limits.least_tension
    assert any(f"at least {least:.2f} N" in t for t in texts) and any("tilt too far" in t for t in texts)
    assert "slack" in texts[0]
    assert reasons_at(DOCUMENT, 1000, 900) == []
    assert reasons_at(DOCUMENT, 1000, -100) == ["The body cannot hang there."]
    door = edits_keep_outs.add_keep_out(DOCUMENT, "Door", edits_keep_outs.rectangle((900, 800), (1200, 1000)))
    (text,) = [t for t in reasons_at(door, 1000, 900) if t.startswith("Door")]
    assert "over it" in text


def test_pieces_go_with_the_pens_and_shapes_of_now():
    """What is outside is kept by place; another pen of the same width, or artwork that draws nothing before it, is not
    another place."""
    document = edits.set_placement(demo_document(), "placement-1", x=1500.0)
    runner = Runner()
    runner.run(Request(1, document, Goal.PREVIEW))
    blank = b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><path d="M1 1h5v5z" fill="#fff"/></svg>'
    more, placed = edits.add_artwork(document, "blank.svg", "image/svg+xml", blank, (9.0, 9.0))
    first = edits_arrangement.reorder_placements(more, [placed.id], "back")
    same = edits.set_ink(document, "placement-1", Ink("#1f4e8c", "red"))
    for changed in (first, same):
        found = runner.run(Request(2, changed, Goal.PREVIEW)).preview
        fresh = Runner().run(Request(3, changed, Goal.PREVIEW)).preview
        for name in ("pen", "source", "is_fill", "points", "offsets"):
            assert np.array_equal(getattr(found.outside.pieces, name), getattr(fresh.outside.pieces, name)), name
        owner = found.placement_of_source[found.outside.pieces.source]
        assert np.array_equal(owner, found.placement_of_source[found.strokes.source[found.outside.stroke]])


def test_outside_of_several_hangings_is_that_of_their_strokes():
    near = strokes_of([(1000, 900), (60, 900)])
    far = strokes_of([(1000, 900), (1000, 950)], [(1000, 1000), (1950, 1000)])
    parts = [strokes_outside(DOCUMENT, PLACE, s) for s in (near, far)]
    whole = OutsideZone.join(parts, [near, far])
    assert whole.stroke.tolist() == [0] * len(parts[0].broken) + [2] * len(parts[1].broken)
    assert whole.of(Strokes.join([near, far])).pieces.pen.tolist()[-1] == 1


@pytest.mark.parametrize(
    ("width", "height", "first"),
    [
        (3600.0, 500.0, Remedy.COVER_ARTWORK),  # long and low: parts side by side
        (1450.0, 700.0, Remedy.SHRINK),  # a little too large
        (3600.0, 2800.0, Remedy.SHRINK),  # too high as well: more hangings do not help
    ],
)
def test_artwork_that_is_too_wide_is_offered_in_parts_first(width, height, first):
    """The sentence says so, and other remedies stay."""
    document = document_of(SQUARE, natural=(100.0, 100.0), width=width)
    document = edits.set_field(document, "wall", Wall(left=-1500.0, top=-300.0, width=5000.0, height=3400.0))
    document = edits.set_placement(document, document.placements[0].id, width=width, height=height)
    (check,) = (c for c in planned(document).plan.checks if c.id == "zone")
    assert check.remedies[0] is first
    assert set(check.remedies) >= {Remedy.COVER_ARTWORK, Remedy.SHRINK, Remedy.CLIP}
    assert len(set(check.remedies)) == len(check.remedies)
    assert ("drawn in parts" in check.text) == (first is Remedy.COVER_ARTWORK)
