"""The fill chosen by its computed time: never slower than the others, by its own reckoning and as the motion is planned."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.experienced import ExperiencedRunner
from tests.support.random_regions import regions
from wallwright.document import edits
from wallwright.document.document import Document, Fill, Settings
from wallwright.planning.plan import Goal, Request
from wallwright.strokes.fills import FILLS
from wallwright.strokes.fills.quickest import USUAL_PACE, drawing_seconds, quickest

SVG = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 200" width="300mm" height="200mm">
<path d="M10 10H120V90H10Z M40 30V70H90V30Z" fill-rule="evenodd"/><circle cx="200" cy="60" r="50"/>
<path d="M20 120 Q100 110 150 150 T290 140 V152 Q220 190 150 165 T20 132Z"/></svg>"""


@given(regions(), st.sampled_from([0.0, 50.0, 100.0]), st.floats(1.0, 6.0))
@settings(deadline=None, max_examples=25, derandomize=True)
def test_no_other_fill_is_quicker(region, coverage, spacing):
    fill = Fill("quickest", spacing=spacing, coverage=coverage)
    chosen = drawing_seconds(quickest(region, fill, 1.5), USUAL_PACE)
    others = ["hatch", "zigzag"] + (["contour"] if coverage == 100 else [])
    for kind in others:
        lines = FILLS[kind](region, edits.replace(fill, kind=kind), 1.5, lambda done: None)
        assert chosen <= drawing_seconds(lines, USUAL_PACE) + 1e-6 or not lines


def test_a_machine_without_lifts_and_with_slow_turns_hatches():
    """Lifts that cost nothing leave no reason to turn around at every row; slow ones do."""
    disc = shapely.Point(0, 0).buffer(30)
    eager = USUAL_PACE._replace(lift=0.0, travel_speed=1e6, draw_speed=10.0, acceleration=1e6, corner_tolerance=0.0)
    fill = Fill("quickest", spacing=4.0)
    assert len(quickest(disc, fill, 2.0, pace=eager)) > 10
    assert len(quickest(disc, fill, 2.0)) == 1


def test_seconds_of_known_ways():
    """Worked by hand: 100 mm at 40 mm/s with its ramps at 200 mm/s² take 2.7 s, and a lift 0.6 s; a corner of a right angle is
    passed at the speed of a tenth of a millimetre's cut, sqrt(a d s / (1 - s)), s the sine of half the angle between the
    legs."""
    straight = drawing_seconds([np.array([[0.0, 0.0], [100.0, 0.0]])], USUAL_PACE)
    assert straight == pytest.approx(100 / 40 + 40 / 200 + 0.6)
    bent = drawing_seconds([np.array([[0.0, 0.0], [50.0, 0.0], [50.0, 50.0]])], USUAL_PACE)
    half = np.sin(np.pi / 4)
    speed = np.sqrt(200 * 0.1 * half / (1 - half))
    assert bent == pytest.approx(straight + (40 - speed) ** 2 / (200 * 40))


def planned_seconds(kind: str, coverage: float) -> float:
    document = edits.set_field(Document(), "settings", Settings(fill=Fill(kind, spacing=3.0, coverage=coverage)))
    document, placed = edits.add_artwork(
        document, "a", "image/svg+xml", SVG, (300.0, 200.0), (1000.0, 900.0), 300.0, 200.0
    )
    document = edits.set_placement(document, placed.id, colours="solid")
    plan = ExperiencedRunner().run(Request(1, document, Goal.PLAN)).plan
    return float(plan.estimate.total_s)


@pytest.mark.parametrize("coverage", [0.0, 100.0])
def test_the_planned_job_is_no_slower_than_with_either_kind(coverage):
    """As the motion planner times it, with corners, swings and travels; the choice knows no swings, so to a twentieth."""
    seconds = {kind: planned_seconds(kind, coverage) for kind in ("quickest", "hatch", "zigzag", "contour")}
    assert seconds["quickest"] <= 1.05 * min(seconds["hatch"], seconds["zigzag"])
    if coverage == 100:
        assert seconds["quickest"] <= 1.05 * seconds["contour"]
