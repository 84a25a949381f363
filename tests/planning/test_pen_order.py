"""Wet ink: how long a job waits for it, and the orders of pens that leave it time to dry. Distances are shapely's."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely

from tests.support.jobs import document_of, planned, planned_job
from wallwright.document import edits, edits_pens
from wallwright.document.document import Document, Pen
from wallwright.document.errors import BadValue
from wallwright.jobs.checks import Remedy
from wallwright.jobs.code_verification import replay
from wallwright.jobs.report import report
from wallwright.jobs.rs274 import Part, part_code, program_of
from wallwright.planning.pen_order import order_for_dry_ink

ART = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    b'<path d="M10 20H90M10 40H90" fill="none" stroke="#202020"/><path d="M50 10V60" fill="none" stroke="#f0d020"/>'
    b'<path d="M5 90H95M5 95H95M5 80H95" fill="none" stroke="#2040c0"/></svg>'
)
YELLOW = Pen("yellow", "Yellow", "#f0d020", 1.0, drying=5.0)
BLACK = Pen("black", "Black", "#202020", 1.0, drying=0.05)
BLUE = Pen("blue", "Blue", "#2040c0", 1.0, drying=0.05)


def document(*pens: Pen, waits: bool = False, **settings) -> Document:
    found = document_of(ART, centre=(1000.0, 950.0), width=400.0)
    settings = edits.replace(found.settings, wait_until_dry=waits, **settings)
    return edits.replace(found, pens=pens, settings=settings)


def wet(found: Document):
    return [check for check in planned(found).plan.checks if check.id.startswith("wet")]


def missing(plan, document: Document) -> float:
    """s by which the most hasty of two touching strokes comes too early, tried pair by pair."""
    motion, change = plan.motion, document.machine.lift.change_time
    drawn = []
    for number, block in enumerate(plan.motion.blocks):
        for run in range(block.first_run, block.last_run):
            if motion.down[run]:
                times = motion.time[motion.runs[run]], motion.time[motion.runs[run + 1] - 1]
                line = shapely.LineString(plan.strokes[int(motion.stroke[run])])
                drawn.append((document.pens[block.pen], line, *(t + number * change for t in times)))
    early = [
        60 * a.drying - (begin - end)
        for (a, one, _, end), (b, other, begin, _) in itertools.combinations(drawn, 2)
        if a.id != b.id and shapely.distance(one, other) <= (a.width + b.width) / 2
    ]
    return max(early)


def test_the_job_waits_exactly_until_the_ink_is_dry():
    plan = planned(document(YELLOW, BLACK, BLUE)).plan
    expected = missing(plan, document(YELLOW, BLACK, BLUE))
    waiting = document(YELLOW, BLACK, BLUE, waits=True)
    job = planned_job(waiting)
    assert np.allclose(job.estimate.drying_s, (0.0, expected, 0.0)) and expected > 100
    assert job.estimate.changing_s == pytest.approx(2 * waiting.machine.lift.change_time + expected)
    (check,) = wet(waiting)
    assert "before Black" in check.text and check.remedies == ()
    program, part = program_of(job, job.belts), Part(0, 0, len(job.belts.down))
    text = b"".join(part_code(program, part, lambda done: None)).decode()
    assert (
        f"(MSG, Pen 2: Black #202020, after {np.ceil(expected / 60):.0f} min more for the ink below to dry. Put it in"
        in text
    )
    assert "Yellow #f0d020. Put it in" in text and replay([text.encode()], program, part).strokes > 5
    assert report(job, {}, {})["drying_s"] == [0.0, round(expected, 2), 0.0]


def test_a_job_without_wet_ink_does_not_wait():
    quick = edits.replace(YELLOW, drying=0.05)
    assert planned(document(quick, BLACK, waits=True)).plan.estimate.drying_s == (0.0, 0.0)
    assert planned(document(YELLOW, BLACK)).plan.estimate.drying_s == ()


def test_another_order_of_pens_lets_ink_dry():
    """Black dries at once: with it first nothing wet is touched, and it is the one order in which yellow is last."""
    before = document(YELLOW, BLACK, BLUE)
    (check,) = wet(before)
    assert check.remedies == (Remedy.WAIT_UNTIL_DRY, Remedy.ORDER_FOR_DRY_INK)
    plan = planned(before).plan
    after = order_for_dry_ink(before, plan.strokes, plan.motion)
    names = [pen.name for pen in after.pens]
    assert names.index("Black") < names.index("Yellow") and sorted(names) == ["Black", "Blue", "Yellow"]
    assert wet(after) == []
    again = planned(after).plan
    with pytest.raises(BadValue, match="No order of the pens"):
        order_for_dry_ink(after, again.strokes, again.motion)


def test_a_pen_that_fits_in_between_gives_ink_time():
    """Both dry slowly, and blue touches neither: it goes between them."""
    slow = edits.replace(BLACK, drying=5.0)
    before = document(YELLOW, slow, edits.replace(BLUE, speed=2.0))
    plan = planned(before).plan
    after = order_for_dry_ink(before, plan.strokes, plan.motion)
    assert [pen.name for pen in after.pens][1] == "Blue" and wet(after) == []


def test_a_gap_is_offered_and_helps_where_colours_touch_without_one():
    art = (
        b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
        b'<rect x="10" y="10" width="40" height="40" fill="#f0d020"/>'
        b'<rect x="50" y="10" width="40" height="40" fill="#202020"/></svg>'
    )
    found = document_of(art, centre=(1000.0, 950.0), width=300.0, fill="hatch")
    settings = edits.replace(found.settings, gap=0.0, fill=edits.replace(found.settings.fill, spacing=1.0))
    found = edits.replace(found, pens=(edits.replace(YELLOW, drying=90.0), BLACK), settings=settings)
    (check,) = wet(found)
    assert Remedy.GAP_BETWEEN_COLOURS in check.remedies and "gap" in check.text
    assert wet(edits_pens.with_gaps(found)) == []


def test_pens_move_in_the_list():
    found = document(YELLOW, BLACK, BLUE)
    assert [p.name for p in edits_pens.move_pen(found, "blue", 0).pens] == ["Blue", "Yellow", "Black"]
    assert [p.name for p in edits_pens.move_pen(found, "yellow", 1).pens] == ["Black", "Yellow", "Blue"]
    assert [p.name for p in edits_pens.move_pen(found, "yellow", 99).pens] == ["Black", "Blue", "Yellow"]
    assert edits_pens.move_pen(found, "yellow", -3) == found


def test_what_ink_costs_is_in_the_estimate():
    priced = edits.replace(YELLOW, price=4.0, ink=100.0)
    plan = planned(document(priced, edits.replace(BLACK, price=9.0))).plan
    (metres,) = [part.ink_m for part in plan.estimate.per_pen if part.pen == 0]
    assert plan.estimate.ink_price == pytest.approx(4.0 * metres / 100.0), "nobody knows how much ink a black pen has"
