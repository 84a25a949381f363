"""Artworks that lie on each other are named; those beside or around each other are not."""

from tests.window.test_zone_remedies import SQUARE
from wallwright.document import edits, edits_arrangement
from wallwright.document.document import Document
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner

FILLED = SQUARE.replace(b'fill="none"', b'fill="#202020"')


def placed(*squares: tuple[str, bytes, float, float, float]) -> Document:
    document = Document()
    for name, data, x, y, width in squares:
        own = data.replace(b"<svg ", f'<svg id="{name}" '.encode())
        document, _ = edits.add_artwork(document, name, "image/svg+xml", own, (200.0, 200.0), (x, y), width)
    return document


def found(document: Document):
    plan = Runner().run(Request(0, document, Goal.PLAN)).require_plan()
    return next((check for check in plan.checks if check.id == "overlapping"), None)


def test_ink_on_ink_is_said_with_names_and_place():
    document = placed(("sea.svg", FILLED, 950.0, 900.0, 200.0), ("ship.svg", FILLED, 1050.0, 900.0, 200.0))
    check = found(document)
    assert check.verdict.name == "NOTE" and "“ship.svg” over “sea.svg”" in check.text and "both are drawn" in check.text
    left, top, right, bottom = check.place
    assert left >= 945 and right <= 1055 and top < 850 and bottom > 950
    behind = edits_arrangement.reorder_placements(document, ["placement-2"], "back")
    assert "“sea.svg” over “ship.svg”" in found(behind).text


def test_beside_around_and_hidden_are_no_overlap():
    side = placed(("sea.svg", FILLED, 850.0, 900.0, 200.0), ("ship.svg", FILLED, 1100.0, 900.0, 200.0))
    assert found(side) is None
    around = placed(("frame.svg", SQUARE, 1000.0, 900.0, 400.0), ("ship.svg", FILLED, 1000.0, 900.0, 200.0))
    assert found(around) is None
    crossing = placed(("one.svg", SQUARE, 950.0, 900.0, 200.0), ("two.svg", SQUARE, 1050.0, 950.0, 200.0))
    assert found(crossing) is None, "two lines that cross"
    on = placed(("sea.svg", FILLED, 950.0, 900.0, 200.0), ("ship.svg", FILLED, 1050.0, 900.0, 200.0))
    assert found(edits.set_placement(on, "placement-2", visible=False)) is None
