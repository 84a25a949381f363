"""Several hangings in the window: adding, choosing the current one, handover lines, export; all by mouse and menus."""

import base64
import json
import re

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QLabel, QMessageBox

from tests.support.hands import click, drag, on_screen
from tests.support.walls import banner
from wallwright.document import edits, edits_hangings
from wallwright.document.quantity import quantities
from wallwright.document.register import Sighting
from wallwright.document.typed_numbers import value_of
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.canvas.hangings_layer import grip, handover_lines
from wallwright.window.canvas.ink_display import paler
from wallwright.window.features.export.dialog import ExportDialog
from wallwright.window.features.register_marks.dialog import LineUpDialog
from wallwright.window.model.items import HangingItem
from wallwright.window.model.models import Models
from wallwright.window.panels.contents import Contents
from wallwright.window.panels.hanging_pages import HandoverField
from wallwright.window.shell.ready_status import ReadyStatus
from wallwright.window.timeline.time_strip import HangingChooser
from wallwright.window.widgets.number_field import NumberField
from wallwright.window.widgets.theme import OnWall, on_wall

ALT = Qt.KeyboardModifier.AltModifier


@pytest.fixture
def window(qtbot, tmp_path):
    """A window on a wall that takes several hangings, before they are there."""
    document = edits.set_field(banner(120.0), "hangings.0.right.x", 2600.0)
    document = edits.set_field(document, "hangings.0.start_point", (1300.0, 900.0))
    window = ProjectWindow(Models.of(document), tmp_path / "log")
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.resize(1200, 800)
    window.show()
    qtbot.waitExposed(window)
    window.canvas.fit()
    return window


def _pixels_of(picture: QImage, role: OnWall) -> int:
    wanted = on_wall(role)
    near = (picture.pixelColor(x, y) for x in range(picture.width()) for y in range(picture.height()))
    return sum(c.name() == wanted.name() for c in near)


def answering(monkeypatch, button: str) -> list[str]:
    """Presses a button of every question; the texts of those that came."""
    texts: list[str] = []

    def press(box: QMessageBox) -> int:
        texts.append(f"{box.text()} {box.informativeText()}")
        pressed = next(b for b in box.buttons() if b.text().replace("&", "") == button)
        monkeypatch.setattr(QMessageBox, "clickedButton", lambda own: pressed)
        return 0

    monkeypatch.setattr(QMessageBox, "exec", press)
    return texts


def run(window, name):
    window.parts.actions[name].trigger()


def planned(qtbot, window):
    qtbot.waitUntil(lambda: not window.models.planning.plan_is_stale, timeout=60_000)


def test_as_often_as_it_takes_then_one_after_the_other(qtbot, window, tmp_path, monkeypatch):
    before, chooser = window.models.project.document, window.findChild(HangingChooser)
    assert not chooser.isVisible()
    answering(monkeypatch, "Place all anew")
    run(window, "cover-artwork")
    models = window.models
    assert len(models.project.document.hangings) == 3 and chooser.isVisible() and chooser.count() == 3
    assert [r[1] for r in window.findChild(Contents).rows() if isinstance(r[0], HangingItem)] == [
        "Hanging 1 (current)",
        "Hanging 2",
        "Hanging 3",
    ]
    planned(qtbot, window)
    first = models.planning.plan
    assert window.findChild(ReadyStatus).text().endswith("(Hanging 1)")
    controller = models.project.document.machine.controller
    dialog = ExportDialog(
        tmp_path / "a",
        controller,
        window,
        "Hanging 1",
        project=models.project,
        estimate=first.estimate,
        planning=models.planning,
    )
    qtbot.addWidget(dialog)
    said = " ".join(label.text() for label in dialog.findChildren(QLabel))
    assert "This is for Hanging 1 alone. 1 of 3 hangings planned" in said
    run(window, "next-hanging")
    assert models.selection.hanging == 1 and models.selection.item == HangingItem(1) and models.planning.plan_is_stale
    assert chooser.currentIndex() == 1
    planned(qtbot, window)
    assert models.planning.plan.strokes.points[:, 0].mean() > first.strokes.points[:, 0].mean() + 1000
    assert "2 of 3" in window.strip.estimate.whole
    chooser.setCurrentIndex(0)
    chooser.activated.emit(0)
    assert models.planning.plan is first, "what was planned is there at once"
    run(window, "plan-every")
    qtbot.waitUntil(lambda: len(models.planning.plans) == 3, timeout=60_000)
    assert "All 3 hangings" in window.strip.estimate.whole
    received = []
    models.planning.exported.connect(received.append)
    models.planning.export(str(tmp_path / "job"), every=True)
    qtbot.waitUntil(lambda: bool(received), timeout=120_000)
    report = json.loads((tmp_path / "job" / "wall-report.json").read_text())
    total = sum(plan.estimate.total_s for plan in models.planning.plans.values())
    assert report["total_s"] == pytest.approx(total, abs=0.1)
    while models.project.history.past:
        models.project.undo()
    assert models.project.document == before and models.selection.hanging == 0 and not chooser.isVisible()


def test_hangings_that_exist_stay_and_what_comes_is_reported_before(qtbot, window, monkeypatch):
    """Anchors and what was drawn by them are on the wall already; the command keeps them too."""
    project = window.models.project
    project.edit("Line", edits_hangings.set_handover_line(project.document, 0, 1700.0))
    before, steps = project.document, len(project.history.past)
    texts = answering(monkeypatch, "Cancel")
    run(window, "cover-artwork")
    assert project.document is before
    assert "those that exist stay where they are" in texts[0] and "<td>Hanging 2" in texts[0]
    assert "Place all anew replaces all hangings with" in texts[0] and "This is lost: handover lines." in texts[0]
    assert texts[0].count("<table") == 2, "positions for each choice"
    pictures = [QImage.fromData(base64.b64decode(p)) for p in re.findall(r"base64,([^']+)'", texts[0])]
    assert len(pictures) == 2, "a picture for each choice"
    assert all(_pixels_of(picture, OnWall.CHOSEN) > 20 for picture in pictures)
    grey = [_pixels_of(picture, OnWall.QUIET) for picture in pictures]
    assert grey[0] > grey[1], "what stays is grey: of those added the first"
    assert "mm to the left" in texts[0] and "\N{MINUS SIGN}" not in texts[0] and "0 mm down" not in texts[0]
    answering(monkeypatch, "Add hangings")
    run(window, "cover-artwork")
    assert project.document.hangings[:1] == before.hangings and len(project.document.hangings) > 1
    assert project.document.wall == before.wall and window.models.selection.item == HangingItem(1)
    assert len(project.history.past) == steps + 1
    texts = answering(monkeypatch, "Cancel")
    run(window, "cover-artwork")
    assert texts == [] and "cover the artwork" in window.bar.sentence.text()
    project.undo()
    assert project.document == before


def test_beside_duplicate_rename_and_remove(qtbot, window):
    models = window.models
    run(window, "hang-right")
    assert models.selection.hanging == 1 and models.project.document.hangings[1].left.x > 1000
    run(window, "hang-left")
    assert len(models.project.document.hangings) == 3
    assert window.bar.isVisible(), "there is no room on the left"
    models.selection.select(HangingItem(1))
    run(window, "duplicate")
    assert models.selection.item == HangingItem(3)
    assert models.project.document.hangings[3].left.x == models.project.document.hangings[1].left.x + 100
    models.project.set_field("Rename", "hangings.3.name", "By the door")
    assert "By the door (current)" in [row[1] for row in window.findChild(Contents).rows()]
    run(window, "remove")
    assert len(models.project.document.hangings) == 3 and models.selection.hanging == 2
    for _ in range(2):
        models.selection.select(HangingItem(1))
        run(window, "remove")
    assert not window.parts.actions["remove"].isEnabled(), "the last one stays"


def test_removing_the_first_moves_nothing_on_the_wall(qtbot, window):
    models = window.models
    run(window, "hang-right")
    second, wall = models.project.document.hangings[1], models.project.document.wall
    models.selection.select(HangingItem(0))
    run(window, "remove")
    left = models.project.document.hangings[0]
    assert (left.left.x, left.left.y) == (0, 0)
    assert left.left.x - models.project.document.wall.left == second.left.x - wall.left
    assert models.project.document.placements[0].x - models.project.document.wall.left == 2500 + 500


def test_a_meeting_line_is_dragged_and_goes_back_to_the_middle(qtbot, window, monkeypatch):
    models = window.models
    answering(monkeypatch, "Place all anew")
    run(window, "cover-artwork")
    qtbot.waitUntil(lambda: 0 in handover_lines(models), timeout=60_000)
    middle = handover_lines(models)[0]
    at = grip(window.canvas.view, models.project.document, middle).toPoint()
    drag(qtbot, window, at, at + QPoint(20, 5), ALT)
    moved = models.project.document.hangings[0].handover
    assert moved == pytest.approx(middle + 20 / window.canvas.view.scale, abs=10)
    models.selection.select(HangingItem(0))
    field = window.findChild(HandoverField)
    qtbot.mouseClick(field._middle, Qt.MouseButton.LeftButton)
    assert models.project.document.hangings[0].handover is None
    qtbot.waitUntil(lambda: models.planning.preview_document is models.project.document, timeout=60_000)
    assert handover_lines(models)[0] == middle
    models.project.undo()
    assert models.project.document.hangings[0].handover == moved


def test_another_hangings_anchor_makes_it_current(qtbot, window):
    run(window, "hang-right")
    window.models.selection.select(HangingItem(0))
    other = window.models.project.document.hangings[1]
    click(qtbot, window, on_screen(window, other.right.x, other.right.y))
    assert window.models.selection.hanging == 1
    zone = window.canvas
    zone.repaint()
    assert zone.zone.picture is not None and zone.zone.picture.zone.hanging == other


def test_ink_of_the_others_is_paler():
    """Nearer to the wall's colour; CSS Color 4 mixes so in sRGB."""
    pale = paler(QColor("#c02020"))
    assert pale.lightnessF() > QColor("#c02020").lightnessF() + 0.2
    assert pale.hslHueF() == pytest.approx(QColor("#c02020").hslHueF(), abs=0.05)


def test_lined_up_by_what_was_seen_at_the_marks(qtbot, window, monkeypatch):
    models = window.models
    assert not window.parts.actions["line-up"].isEnabled()
    answering(monkeypatch, "Place all anew")
    run(window, "cover-artwork")
    models.selection.select(HangingItem(1))
    planned(qtbot, window)
    assert window.parts.actions["line-up"].isEnabled()
    window.parts.export.keep_handover_lines()
    planned(qtbot, window)
    before = models.project.document.hangings[1]
    dialog = LineUpDialog(models, window.parts.register_marks.marks, window)
    qtbot.addWidget(dialog)
    dialog.show()
    assert not dialog.apply.isEnabled() and "Read two marks or more" in dialog._message.text()
    rows = dialog._rows[0], dialog._rows[1], dialog._rows[-1]  # far apart: two above the ink and one below
    for row, (right, down) in zip(rows, (("4", "1.5"), ("4", "2"), ("3.5", "x")), strict=True):
        qtbot.keyClicks(row.right, right)
        qtbot.keyClicks(row.down, down)
    assert not dialog.apply.isEnabled() and "is not a number" in dialog._message.text()
    rows[2].down.setText("1.5")
    assert dialog.apply.isEnabled() and "Parts then meet to within about" in dialog._message.text()
    qtbot.mouseClick(dialog.apply, Qt.MouseButton.LeftButton)
    after = models.project.document.hangings[1]
    assert after.left.x > before.left.x + 1 and len(after.register.sightings) == 3
    planned(qtbot, window)
    assert any(c.id == "register" and c.verdict.value == "ok" for c in models.planning.plan.checks)
    models.project.undo()
    assert models.project.document.hangings[1] == before
    dialog = LineUpDialog(models, window.parts.register_marks.marks, window)
    qtbot.addWidget(dialog)
    dialog._rows[0].right.setText("4")
    assert "both numbers" in dialog._message.text()


def test_readings_that_cannot_be_right_are_not_the_default_and_ask(qtbot, window, monkeypatch):
    models = window.models
    answering(monkeypatch, "Place all anew")
    run(window, "cover-artwork")
    models.selection.select(HangingItem(1))
    qtbot.waitUntil(lambda: bool(window.parts.register_marks.marks), timeout=60_000)
    dialog = LineUpDialog(models, window.parts.register_marks.marks, window)
    qtbot.addWidget(dialog)
    dialog.show()
    for row in dialog._rows:
        row.right.setText("2")
        row.down.setText("1")
    assert dialog.apply.isDefault() and "<b>" not in dialog._message.text()
    dialog._rows[4].right.setText("32")
    first, _, others = dialog._message.text().partition("<br>")
    assert dialog.apply.isDefault() and first.startswith("<b>2E") and "was left out" in first
    assert "2E" not in others, "what disagrees is said once, and first"
    for row in dialog._rows[2:]:
        row.right.clear()
        row.down.clear()
    assert dialog.apply.isDefault() and "read a third" in dialog._message.text()
    for row in dialog._rows:
        row.right.setText("60")
        row.down.setText("80")
    assert dialog.apply.isEnabled() and not dialog.apply.isDefault()
    assert dialog._message.text().startswith("<b>") and "would move by" in dialog._message.text()
    before = models.project.document
    texts = answering(monkeypatch, "Cancel")
    qtbot.keyClick(dialog._rows[0].right, Qt.Key.Key_Return)
    assert texts == [] and dialog.isVisible(), "Return corrects nothing"
    qtbot.mouseClick(dialog.apply, Qt.MouseButton.LeftButton)
    assert "would move by" in texts[0] and models.project.document is before and dialog.isVisible()
    answering(monkeypatch, "Correct the anchors")
    qtbot.mouseClick(dialog.apply, Qt.MouseButton.LeftButton)
    assert models.project.document.hangings[1].register.sightings and not dialog.isVisible()


def test_a_field_shows_a_negative_number_with_a_minus_sign_and_takes_it_back(qtbot):
    quantity = quantities(Sighting)["right"]
    field = NumberField(quantity, -7.5)
    qtbot.addWidget(field)
    assert field.text() == "\N{MINUS SIGN}7.5 mm" and value_of(quantity, field.text()) == -7.5


def test_one_of_several_is_exported_into_its_own_folder(qtbot, window, tmp_path):
    controller = window.models.project.document.machine.controller
    dialog = ExportDialog(tmp_path / "job", controller, window, "Hanging 2", number=1)
    qtbot.addWidget(dialog)
    assert dialog.every and dialog.place == tmp_path / "job"
    dialog._which.setCurrentIndex(1)
    assert not dialog.every and dialog.place == tmp_path / "job" / "hanging-2"
