"""One origin in the window: titles of fields, rulers and readouts follow the switch, and numbers are about it."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLabel

from tests.support.pictures import darkness
from tests.support.positions import positions_in
from tests.support.walls import hung_banner
from wallwright.document.placing import placement_box
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.canvas.rulers import marks_for
from wallwright.window.canvas.wall_layer import RULER
from wallwright.window.model.items import WALL, GuideLineItem, HangingItem, KeepOutItem, PlacementItem
from wallwright.window.model.models import Models
from wallwright.window.panels.contents import Contents
from wallwright.window.widgets.number_field import NumberField

ACROSS = {"anchor": "right of the left anchor", "wall": "from the wall's left edge"}
ALONG = {"anchor": "below the left anchor", "wall": "above the floor"}


@pytest.fixture
def hung(qtbot, tmp_path):
    """A window on a wall with several hangings, the second the current one."""
    window = ProjectWindow(Models.of(hung_banner(160.0)), tmp_path / "log")
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.resize(1200, 800)
    window.show()
    qtbot.waitExposed(window)
    window.models.selection.set_current_hanging(1)
    return window


def switch(window, kind: str) -> None:
    """By the list on the page."""
    box = next(b for b in window.findChildren(QComboBox) if b.accessibleName() == "Measured from" and b.isVisible())
    box.setCurrentIndex(box.findData(kind))
    box.activated.emit(box.currentIndex())


def field(window, title: str) -> NumberField:
    return next(
        f for f in window.findChildren(NumberField) if f.accessibleName().lower() == title.lower() and f.isVisible()
    )


def number(window, title: str) -> float:
    return float(field(window, title).text().removesuffix(" mm").replace("\N{MINUS SIGN}", "-"))


def on_wall(window, kind: str, across: float, along: float) -> tuple[float, float]:
    """Where a position that is shown is, by hand: the wall's edges, or the anchor of the current hanging."""
    document = window.models.project.document
    wall, left = document.wall, document.hangings[window.models.selection.hanging].left
    return (wall.left + across, wall.floor - along) if kind == "wall" else (left.x + across, left.y + along)


def enter(qtbot, window, title: str, text: str) -> None:
    line = field(window, title)
    line.setFocus()
    line.selectAll()
    qtbot.keyClicks(line, text)
    qtbot.keyClick(line, Qt.Key.Key_Return)


def test_every_page_shows_positions_from_the_origin_that_it_names(window):
    models = window.models
    models.project.edit("Lines", _with_lines(models.project.document))
    document = models.project.document
    box = placement_box(document.placements[0])
    keep_out = document.wall.keep_outs[1].outline
    start_point, right = document.hangings[0].start_point, document.hangings[0].right
    cases = [
        (PlacementItem("placement-1"), "Centre, ", (document.placements[0].x, document.placements[0].y)),
        (KeepOutItem(1), "Upper left corner, ", (min(x for x, _ in keep_out), min(y for _, y in keep_out))),
    ]
    for kind in ("wall", "anchor"):
        for item, what, point in cases:
            models.selection.select(item)
            switch(window, kind)
            shown = number(window, what + ACROSS[kind]), number(window, what + ALONG[kind])
            assert on_wall(window, kind, *shown) == pytest.approx(point, abs=0.01)
        models.selection.select(PlacementItem("placement-1"))
        shown = number(window, "Left side, " + ACROSS[kind]), number(window, "Bottom, " + ALONG[kind])
        assert on_wall(window, kind, *shown) == pytest.approx((box[0], box[3]), abs=0.01)
        models.selection.select(HangingItem(0))
        titles = [f.accessibleName() for f in window.findChildren(NumberField) if f.isVisible()]
        across, along = (ACROSS[kind].capitalize(), ALONG[kind].capitalize())
        fields = [f for f in window.findChildren(NumberField) if f.isVisible() and f.accessibleName() == across]
        downs = [f for f in window.findChildren(NumberField) if f.isVisible() and f.accessibleName() == along]
        assert titles.count(across) == (3 if kind == "wall" else 2)  # the origin itself has no numbers
        for x, y, point in zip(fields[-2:], downs[-2:], ((right.x, right.y), start_point), strict=True):
            shown = (float(f.text().removesuffix(" mm").replace("\N{MINUS SIGN}", "-")) for f in (x, y))
            assert on_wall(window, kind, *shown) == pytest.approx(point, abs=0.01)
        for line in (0, 1):
            models.selection.select(GuideLineItem(line))
            title = (ACROSS, ALONG)[line][kind].capitalize()
            at = on_wall(window, kind, number(window, title) if not line else 0, number(window, title) if line else 0)[
                line
            ]
            assert at == pytest.approx(document.guide_lines[line].at, abs=0.01)


def _with_lines(document):
    from wallwright.document.edits_guide_lines import add_guide_line

    return add_guide_line(add_guide_line(document, True, 412.0), False, 333.0)


@pytest.mark.parametrize("kind", ["anchor", "wall"])
def test_the_second_hanging_counts_from_its_own_anchor(qtbot, hung, kind):
    """Typed numbers come where they say; the first hanging's anchor is named where its own is measured."""
    models = hung.models
    models.selection.select(PlacementItem("placement-1"))
    switch(hung, kind)
    enter(qtbot, hung, "Centre, " + ACROSS[kind], "1234 mm")
    enter(qtbot, hung, "Centre, " + ALONG[kind], "567 mm")
    placement = models.project.document.placements[0]
    assert on_wall(hung, kind, 1234.0, 567.0) == pytest.approx((placement.x, placement.y))
    models.selection.select(HangingItem(1))
    own, first = models.project.document.hangings[1].left, models.project.document.hangings[0]
    if kind == "anchor":
        assert number(hung, f"Right of the left anchor of {first.name}") == pytest.approx(own.x, abs=0.01)
        floor = models.project.document.wall.floor
        assert f"{floor - own.y:.0f} mm above the floor" in [w.text() for w in hung.findChildren(QLabel)]
        enter(qtbot, hung, f"Below the left anchor of {first.name}", "15 mm")
        assert models.project.document.hangings[1].left.y == pytest.approx(15.0)
    box = next(b for b in hung.findChildren(QComboBox) if b.accessibleName() == "Measured from" and b.isVisible())
    assert [box.itemText(i) for i in (0, 1)] == ["Left anchor of Hanging 2", "Wall edge and floor"]


def test_the_wall_moves_against_its_hangings(qtbot, hung):
    """From the anchor the wall's edges are said, from the wall the anchor; what is drawn stays with the anchors."""
    models = hung.models
    models.selection.select(WALL)
    before = models.project.document
    own = before.hangings[1].left
    assert number(hung, "Left edge, left of the left anchor") == pytest.approx(own.x - before.wall.left, abs=0.01)
    assert number(hung, "Ceiling, above the left anchor") == pytest.approx(own.y - before.wall.top, abs=0.01)
    enter(qtbot, hung, "Ceiling, above the left anchor", "321 mm")
    assert own.y - models.project.document.wall.top == pytest.approx(321.0)
    models.project.undo()
    switch(hung, "wall")
    enter(qtbot, hung, "Left anchor, " + ACROSS["wall"], "700 mm")
    enter(qtbot, hung, "Left anchor, " + ALONG["wall"], "2.1 m")
    after = models.project.document
    assert (own.x - after.wall.left, after.wall.floor - own.y) == pytest.approx((700.0, 2100.0))
    assert after.hangings == before.hangings and after.placements == before.placements


def test_readouts_follow_and_the_choice_is_kept(qtbot, hung):
    models, canvas = hung.models, hung.canvas
    models.project.edit("Lines", _with_lines(models.project.document))
    for kind in ("anchor", "wall"):
        models.origin.choose(kind)
        x, y = canvas.view.to_wall(canvas.pointer.at)
        assert positions_in(canvas.pointer.position_text(), models.project.document) == [pytest.approx((x, y), abs=0.6)]
        origin = models.origin.present
        rows = [text for item, text, *_ in hung.findChild(Contents).rows() if isinstance(item, GuideLineItem)]
        assert rows == [f"Vertical, {origin.across_text(412.0)}", f"Horizontal, {origin.along_text(333.0)}"]
    again = Models.of(models.project.document)
    assert again.origin.kind == "wall"
    again.close()
    hung.parts.actions["measure-from"].trigger()
    assert models.origin.kind == "anchor"


@pytest.mark.parametrize("kind", ["anchor", "wall"])
def test_the_rulers_begin_at_the_origin(hung, kind):
    """Every step from the origin has a mark; half a step beside it there is no long one."""
    models, canvas = hung.models, hung.canvas
    canvas.fit()
    models.origin.choose(kind)
    step = marks_for(canvas.view.scale, False).step
    dark = darkness(canvas.grab().toImage())
    for k in range(1, 3):
        across, along = on_wall(hung, kind, k * step, k * step)
        at = canvas.view.to_screen(across, along)
        for line, place in ((dark[int(RULER) - 6], at.x()), (dark[:, int(RULER) - 6], at.y())):
            near = line[round(place) - 2 : round(place) + 3]
            assert near.max() > 0.3 + line.mean()
