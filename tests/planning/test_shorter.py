"""Changes that shorten a job: what is said of the time is judged by the plan of the changed document."""

import numpy as np
import pytest

from tests.planning.test_pictures import picture_document
from tests.support.drawings import yard_document
from tests.support.jobs import SQUARE, document_of
from wallwright.document import edits
from wallwright.document.controller import Controller
from wallwright.document.edits import replace, set_field
from wallwright.document.picture import PictureSettings, Stipple
from wallwright.planning import rough_time
from wallwright.planning.plan import Goal, Request
from wallwright.planning.rough_time import spread_sample
from wallwright.planning.runner import Runner

FILLED = SQUARE.replace(b'fill="none"', b'fill="#3060a0"')


def options_of(document, runner=None):
    found = []
    answer = (runner or Runner()).run(
        Request(1, document, Goal.SHORTER), early=lambda response: found.append(response.shorter)
    )
    assert answer.final and answer.plan is None and answer.preview is None
    waiting = [option.title for option in found if option.is_pending]
    tried = [option for option in found if not option.is_pending]
    first = [k for k, option in enumerate(found) if option.is_pending]
    assert first == list(range(first[0], first[0] + len(first))) if first else True, (
        "all are listed before one is tried"
    )
    assert set(waiting) <= {option.title for option in tried}, "each that is listed is answered"
    return {option.title: option for option in tried if option.share != 1.0}


def changed(document, option):
    assert option.document.artworks == ()  # they need not travel
    return replace(option.document, artworks=document.artworks)


def seconds_of(document, runner):
    return runner.run(Request(2, document, Goal.PLAN)).plan.estimate.total_s


@pytest.mark.parametrize(
    "document",
    [
        document_of(FILLED, fill="hatch", width=500.0),
        set_field(document_of(FILLED, fill="cross-hatch", width=400.0), "placements.0.colours", "solid"),
        yard_document(),
    ],
    ids=["mixed", "solid", "groups"],
)
def test_estimates_agree_with_the_plans_of_the_changed_documents(document):
    runner = Runner()
    now, options = seconds_of(document, runner), options_of(document, runner)
    known = {title: o for title, o in options.items() if o.share is not None}
    assert len(known) >= 3
    for title, option in known.items():
        then = seconds_of(changed(document, option), runner)
        assert option.share == pytest.approx(then / now, abs=0.04), title
        assert then < now, title


def test_wider_lines_are_for_areas_that_the_jobs_fill_fills():
    solid = set_field(document_of(FILLED, fill="hatch"), "placements.0.colours", "solid")
    wider = options_of(solid)["Wider line spacing"].document
    assert wider.settings.fill.spacing == 7.5
    assert "7.5 mm apart" in options_of(solid)["Wider line spacing"].text
    mixed = set_field(solid, "placements.0.colours", "mixed")
    assert "Wider line spacing" not in options_of(mixed)
    assert options_of(mixed)["One pen for each colour"].document.placements[0].colours == "solid"


def test_fills_of_single_colours_are_changed_too():
    from wallwright.document.document import Fill, Ink

    own = Ink("#3060a0", "black", True, Fill("hatch", coverage=60.0))
    document = edits.set_ink(document_of(FILLED, fill="hatch"), "placement-1", own)
    inks = options_of(document)["Wider line spacing"].document.placements[0].inks
    assert inks[0].fill.coverage == pytest.approx(40.0)
    bare = options_of(document)["Outlines only"].document
    assert (bare.settings.fill.kind, bare.placements[0].inks[0].fill.kind) == ("none", "none")


def test_speeds_stay_within_the_belts_and_are_no_choice_of_a_machine_that_takes_drawings():
    document = set_field(document_of(SQUARE), "machine.limits.belt_speed", 50.0)
    options = options_of(document)
    assert options["Faster pen"].document.machine.limits.draw_speed == 50.0
    assert (
        "a small test drawing" in options["Faster pen"].text and "“Pens › Measure pens”" in options["Faster pen"].text
    )
    assert "Faster travel" not in options  # as fast as the belts already
    drawing = set_field(document, "machine.controller", Controller(takes="drawing"))
    assert not {"Faster pen", "Faster travel"} & set(options_of(drawing))


def test_locked_artwork_is_not_made_smaller_and_a_short_search_can_be_longer():
    document = document_of(SQUARE)
    options = options_of(document)
    assert options["Smaller"].document.placements[0].width == pytest.approx(800.0)
    assert options["Search longer for the order"].document.settings.order.effort == "best"
    locked = set_field(document, "placements.0.locked", True)
    longest = set_field(locked, "settings.order.effort", "best")
    assert not {"Smaller", "Search longer for the order"} & set(options_of(longest))


def test_rules_for_the_order_can_be_given_up_where_they_cost_time():
    svg = b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    dots = b"".join(
        b'<path d="M%d %dh2" stroke="#202020" fill="none"/>' % (37 * n % 98, 61 * n % 99) for n in range(60)
    )
    document = document_of(svg + dots + b"</svg>", width=500.0)
    assert "Order without rules" not in options_of(document)
    banded = set_field(document, "settings.order.band", 10.0)
    assert options_of(banded)["Order without rules"].document.settings.order == document.settings.order


def test_a_picture_gets_the_style_that_takes_least_and_less_ink():
    document = picture_document(Stipple())
    options = options_of(document)
    title = next(title for title in options if title.startswith("Another style"))
    assert options[title].share < 0.9
    assert not isinstance(options[title].document.placements[0].picture.style, Stipple)
    paler = options["Paler picture"].document.placements[0].picture
    assert paler.darkest == pytest.approx(0.7 * PictureSettings().darkest) and isinstance(paler.style, Stipple)


def test_nothing_is_offered_for_an_empty_wall():
    empty = replace(document_of(SQUARE), placements=(), artworks=())
    assert options_of(empty) == {}


def test_a_part_of_many_strokes_tells_the_time_of_all(monkeypatch):
    document = set_field(document_of(FILLED, fill="hatch", width=800.0), "placements.0.colours", "solid")
    whole = options_of(document)
    monkeypatch.setattr(rough_time, "MOST_POINTS", 60)
    preview = Runner().run(Request(1, document, Goal.PREVIEW)).preview
    some = spread_sample(preview.strokes)
    assert 20 < len(some) < len(preview.strokes) / 3 and (np.diff(some) > 0).all()
    part = options_of(document)
    for title in ("Wider line spacing", "Faster pen", "Smaller"):
        assert part[title].share == pytest.approx(whole[title].share, abs=0.05), title
