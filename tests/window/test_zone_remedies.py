"""What the check of the draw zone offers: with several hangings, with several artworks, and what the buttons then do."""

import numpy as np
import pytest
from PySide6.QtWidgets import QMessageBox, QPushButton

from tests.support.walls import banner, hung_banner
from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.placing import bounding_box, overlaps, placement_box
from wallwright.document.wall import Wall
from wallwright.jobs.checks import Remedy, Verdict
from wallwright.planning.hanging_proposal import propose_covering
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner
from wallwright.statics.limits import Limit, primary_limit
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.models import Models
from wallwright.window.model.remedies import anchors_advised, as_large_as_fits, moved_as_offered, shrunk

SQUARE = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" viewBox="0 0 200 200">'
    b'<rect x="2" y="2" width="196" height="196" fill="none" stroke="#202020"/></svg>'
)


def squares(*places: tuple[float, float]) -> Document:
    """Squares of 200 mm about places, mm, on the default wall."""
    document = Document()
    for number, place in enumerate(places):
        data = SQUARE.replace(b"<svg ", f'<svg id="s{number}" '.encode())
        document, _ = edits.add_artwork(
            document, f"square {number}.svg", "image/svg+xml", data, (200.0, 200.0), place, 200.0
        )
    return document


def zone_check(document: Document, hanging: int = 0):
    """The check of the draw zone."""
    plan = Runner().run(Request(0, document, Goal.PLAN, hanging)).require_plan()
    return next(check for check in plan.checks if check.id == "zone")


def is_inside(document: Document) -> bool:
    preview = Runner().run(Request(0, document, Goal.PREVIEW)).require_preview()
    return not preview.outside.bits.any()


def out_of_all_zones() -> Document:
    """A banner with the hangings that it takes, taller than any of them draws."""
    document = hung_banner(150.0)
    return edits.set_placement(document, document.placements[0].id, height=2300.0, y=900.0)


def test_only_the_artwork_that_is_outside_moves_and_the_button_names_it():
    document = squares((900.0, 900.0), (1000.0, 250.0))
    check = zone_check(document)
    assert check.remedies[:2] == (Remedy.MOVE_IN, Remedy.MOVE_ALL_IN)
    assert check.move.placements == ("placement-2",) and check.move.subject == "“square 1.svg”"
    after = moved_as_offered(document, check.move)
    assert after.placements[0] == document.placements[0] and is_inside(after)
    assert not overlaps(*(placement_box(p) for p in after.placements)), "it goes beside what was free before"


def beside_a_portrait(width: float, height: float, x: float, y: float) -> Document:
    """A portrait in the middle of a low, wide wall, and artwork of a size about a place, mm."""
    document = Document(wall=Wall(-1650.0, -300.0, 6000.0, 2400.0))
    document = edits.move_anchor(document, 0, "right", (2700.0, 0.0))
    document = edits.set_field(document, "hangings.0.start_point", (500.0, 500.0))
    for number, (w, h, *place) in enumerate([(900.0, 1060.0, 1350.0, 1270.0), (width, height, x, y)]):
        data = SQUARE.replace(b"<svg ", f'<svg id="s{number}" '.encode())
        document, _ = edits.add_artwork(
            document, f"square {number}.svg", "image/svg+xml", data, (200.0, 200.0), tuple(place), w
        )
        document = edits.set_placement(document, document.placements[-1].id, width=w, height=h)
    return document


def warnings(document: Document, hanging: int = 0) -> list[str]:
    plan = Runner().run(Request(0, document, Goal.PLAN, hanging)).require_plan()
    return [check.id for check in plan.checks if check.verdict in (Verdict.WARNING, Verdict.ERROR)]


def test_a_short_move_wins_over_a_far_one_that_costs_the_reserve_and_says_what_it_covers():
    document = beside_a_portrait(600.0, 327.0, 450.0, 1270.0)
    check = zone_check(document)
    assert np.hypot(*check.move.by) < 350, "not up under the anchor, where the motors have less reserve"
    assert "After this move it overlaps “square 0.svg”." in check.text
    assert warnings(moved_as_offered(document, check.move)) == []


def test_a_small_detour_keeps_off_other_artwork():
    document = beside_a_portrait(440.0, 200.0, 600.0, 1270.0)
    check = zone_check(document)
    after = moved_as_offered(document, check.move)
    assert not overlaps(*(placement_box(p) for p in after.placements)) and "After this move" not in check.text


def test_where_only_a_smaller_reserve_is_left_the_check_says_so():
    document = edits.set_placement(squares((1000.0, 700.0)), "placement-1", width=1000.0, height=1650.0)
    check = zone_check(document)
    assert check.move is not None and "After this move the motors have less" in check.text
    assert warnings(moved_as_offered(document, check.move)) == ["torque"]


def test_a_single_artwork_and_all_of_several_are_called_so():
    assert zone_check(squares((1000.0, 250.0))).move.subject == ""
    check = zone_check(squares((850.0, 200.0), (1150.0, 200.0)))
    assert check.move.subject == "all artwork" and Remedy.MOVE_ALL_IN not in check.remedies
    check = zone_check(squares((850.0, 200.0), (1150.0, 200.0), (1000.0, 1000.0)))
    assert check.move.subject == "2 artworks"


def test_several_hangings_take_artwork_as_large_as_all_of_them_draw():
    document = hung_banner(150.0)
    only = edits.set_placement(document, document.placements[0].id, width=500.0, height=70.0)
    found = as_large_as_fits(only, [only.placements[0].id])
    assert found.placements[0].width > 4900, "not what one hanging draws"
    assert is_inside(found)


def test_with_several_hangings_a_move_counts_all_zones():
    document = hung_banner(150.0)
    x, y = document.placements[0].x, document.placements[0].y
    document = edits.set_placement(document, document.placements[0].id, width=3000.0, height=420.0, x=x, y=y - 500.0)
    check = zone_check(document, 1)
    assert check.remedies[0] is Remedy.MOVE_IN and check.move.by[1] > 0
    assert is_inside(moved_as_offered(document, check.move))


def limits_on_the_wall(document: Document) -> set[str]:
    """What the canvas marks: of all hangings, by the most important limit of each piece."""
    preview = Runner().run(Request(0, document, Goal.PREVIEW)).require_preview()
    return {limit.name for limit in map(Limit, np.unique(primary_limit(preview.outside.broken)).tolist()) if limit}


@pytest.mark.parametrize("to_left", [0.0, 400.0])
def test_the_check_lists_every_limit_that_the_wall_shows(to_left):
    """Artwork that is too high for all hangings, and some that is only too far left, for the first hanging alone."""
    document = hung_banner(150.0)
    up = 0.0 if to_left else 350.0
    document = edits.set_placement(document, document.placements[0].id, x=2500.0 - to_left, y=900.0 - up)
    shown = limits_on_the_wall(document)
    checks = [zone_check(document, number) for number in range(len(document.hangings))]
    assert shown and all(shown <= {part.limit for part in check.parts} for check in checks)
    assert [check.verdict for check in checks].count(Verdict.NOTE) == (4 if to_left else 0)
    assert ("Where other hangings draw, strokes are outside: " in checks[-1].text) is True


def test_where_no_hanging_helps_shrinking_comes_first_and_fits_all_hangings():
    document = out_of_all_zones()
    check = zone_check(document)
    assert check.remedies[0] is Remedy.SHRINK and Remedy.COVER_ARTWORK not in check.remedies
    found = shrunk(document)
    assert is_inside(found) and found.placements[0].width > 0.3 * document.placements[0].width
    left, _, right, _ = bounding_box(found.placements)
    assert right - left > 1500


def test_hangings_that_are_missing_come_first():
    document = hung_banner(150.0)
    document = edits.replace(document, hangings=document.hangings[:-1])
    assert zone_check(document, len(document.hangings) - 1).remedies[0] is Remedy.COVER_ARTWORK


def window_on(qtbot, tmp_path, document: Document) -> ProjectWindow:
    window = ProjectWindow(Models.of(document), tmp_path / "log")
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.resize(1200, 800)
    window.show()
    return window


def test_the_command_asks_nothing_when_no_hanging_helps_and_offers_to_shrink(qtbot, tmp_path, monkeypatch):
    window = window_on(qtbot, tmp_path, out_of_all_zones())
    monkeypatch.setattr(QMessageBox, "exec", lambda box: pytest.fail(box.text()))
    before = window.models.project.document
    window.parts.actions["cover-artwork"].trigger()
    said = window.bar.sentence.text()
    assert "cannot be reached by any of these hangings" in said and "wall's left edge" in said
    assert window.bar.offer.isVisible() and window.bar.offer.text() == "Shrink to fit"
    window.bar.offer.click()
    qtbot.waitUntil(lambda: window.models.project.document is not before)
    assert is_inside(window.models.project.document)
    window.models.messages.say("Something else.")
    assert not window.bar.offer.isVisible()


def test_what_is_still_missed_is_said_in_plain_letters(qtbot, tmp_path, monkeypatch):
    """One hanging of four is missing, and the artwork is too tall for all of them."""
    document = out_of_all_zones()
    window = window_on(qtbot, tmp_path, edits.replace(document, hangings=document.hangings[:-1]))
    boxes = []

    def leave(box: QMessageBox) -> int:
        boxes.append((box.text(), box.informativeText(), box.textFormat()))
        monkeypatch.setattr(QMessageBox, "clickedButton", lambda own: None)
        return 0

    monkeypatch.setattr(QMessageBox, "exec", leave)
    window.parts.actions["cover-artwork"].trigger()
    for text, more, form in boxes:
        assert form.name == "RichText" and "cannot be reached" in text + more


def test_hangings_that_miss_part_of_the_artwork_are_offered_with_the_move_that_helps(qtbot, tmp_path, monkeypatch):
    document = hung_banner(150.0)
    document = edits.replace(document, hangings=document.hangings[:-1])
    document = edits.set_placement(document, document.placements[0].id, y=550.0)
    window = window_on(qtbot, tmp_path, document)
    asked = []

    def choose(box: QMessageBox) -> int:
        asked.append(box.text())
        button = next(b for b in box.buttons() if b.text() == "Add hangings and move artwork")
        monkeypatch.setattr(QMessageBox, "clickedButton", lambda own: button)
        return 0

    monkeypatch.setattr(QMessageBox, "exec", choose)
    window.parts.actions["cover-artwork"].trigger()
    after = window.models.project.document
    assert "cannot be reached" in asked[0] and "All of it can be drawn if the artwork also moves: " in asked[0]
    assert len(after.hangings) == len(document.hangings) + 1
    assert after.placements[0].y > 550.0 and is_inside(after)


def test_anchors_that_cannot_hold_it_lead_to_several_hangings(qtbot, tmp_path, monkeypatch):
    document = banner(150.0)
    with pytest.raises(BadValue, match="several hangings"):
        anchors_advised(document)
    window = window_on(qtbot, tmp_path, document)
    window.parts.editing.advise_anchors()
    qtbot.waitUntil(window.bar.isVisible)
    asked = []
    monkeypatch.setattr(QMessageBox, "exec", lambda box: asked.append(box.text()) or 0)
    monkeypatch.setattr(QMessageBox, "clickedButton", lambda box: None)
    assert window.bar.offer.text() == "Add hangings to cover the artwork"
    window.bar.offer.click()
    assert asked and len(propose_covering(document).places) > 1
    from wallwright.window.features.anchor_advice.dialog import AnchorAdviceDialog

    dialog = AnchorAdviceDialog(window.models, window)
    qtbot.addWidget(dialog)
    button = next(b for b in dialog.findChildren(QPushButton) if b.text() == "Add hangings to cover the artwork")
    dialog.show()
    qtbot.waitUntil(button.isVisible)
    assert np.isfinite(dialog.width())
