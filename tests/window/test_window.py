"""The window, used with mouse and keys."""

import time

import msgspec
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QTimer, QUrl
from PySide6.QtGui import QDropEvent, QWheelEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QFileDialog,
    QLabel,
    QLineEdit,
    QMessageBox,
    QSlider,
)

from tests.support.hands import drag, on_screen
from tests.support.opening import open_and_wait
from wallwright.document import edits, edits_arrangement
from wallwright.document.errors import BadValue
from wallwright.document.placing import bounding_box
from wallwright.document.project import read_project
from wallwright.document.typed_numbers import evaluate
from wallwright.jobs.checks import ArtworkMove, Remedy, Verdict
from wallwright.planning.demo import ARTWORK, demo_document
from wallwright.planning.examples import EXAMPLES
from wallwright.planning.plan import Response
from wallwright.statics.cable_robot import CableRobotModel
from wallwright.statics.limits import TORQUE_RESERVE, broken
from wallwright.statics.pose import inverse_kinematics
from wallwright.window.canvas.artwork_layer import handle_points
from wallwright.window.canvas.handles import drag_handle, page_contains
from wallwright.window.canvas.view import View
from wallwright.window.model.history import History
from wallwright.window.model.items import MACHINE, WALL, HangingItem, KeepOutItem, PenItem, PlacementItem
from wallwright.window.model.remedies import moved_in, shrunk
from wallwright.window.model.settings import recent
from wallwright.window.panels.check_row import move_words
from wallwright.window.panels.contents import Contents
from wallwright.window.shell.actions import ACTIONS
from wallwright.window.widgets.number_field import NumberField


def planned(qtbot, window) -> None:
    window.models.planning.plan_now()
    qtbot.waitUntil(
        lambda: not window.models.planning.plan_is_stale and not window.models.planning.is_planning,
        timeout=60_000,
    )


def test_plans_by_itself_and_shows_the_estimate(qtbot, window):
    window.models.project.set_field("Rename", "hangings.0.name", "Other")
    qtbot.waitUntil(lambda: not window.models.planning.plan_is_stale, timeout=60_000)
    assert "Total" in window.strip.estimate.text()
    assert window.models.planning.is_exportable


def test_dragging_moves_artwork_and_undo_brings_it_back(qtbot, window):
    before = window.models.project.document
    alt = Qt.KeyboardModifier.AltModifier
    drag(qtbot, window, on_screen(window, 1050, 1000), on_screen(window, 1150, 1050), alt)
    moved = window.models.project.document.placements[0]
    assert window.models.selection.item == PlacementItem("placement-1")
    assert moved.x == pytest.approx(1150, abs=12) and moved.y == pytest.approx(880, abs=12)
    window.parts.actions["undo"].trigger()
    assert window.models.project.document == before
    window.parts.actions["redo"].trigger()
    assert window.models.project.document.placements[0] == moved


def test_corner_handle_scales_and_turn_handle_turns(qtbot, window):
    window.models.selection.select(PlacementItem("placement-1"))
    placement = window.models.project.document.placements[0]
    points = handle_points(window.canvas.view, placement)
    drag(qtbot, window, points["bottom right"].toPoint(), on_screen(window, 1650, 1280))
    scaled = window.models.project.document.placements[0]
    assert scaled.width == pytest.approx(1100, abs=15)
    assert scaled.width / scaled.height == pytest.approx(placement.width / placement.height)
    assert scaled.x - scaled.width / 2 == pytest.approx(placement.x - placement.width / 2, abs=1)
    turn = handle_points(window.canvas.view, scaled)["turn"].toPoint()
    drag(qtbot, window, turn, on_screen(window, scaled.x + 600, scaled.y))
    assert window.models.project.document.placements[0].turn == pytest.approx(np.pi / 2, abs=0.05)


def test_dragging_an_anchor_changes_the_zone(qtbot, window):
    window.canvas.repaint()
    before = window.canvas.zone.picture
    drag(qtbot, window, on_screen(window, 2100, -15), on_screen(window, 1800, 60))
    right = window.models.project.document.hangings[0].right
    assert (right.x, right.y) == (pytest.approx(1800, abs=8), pytest.approx(60, abs=8))
    window.canvas.repaint()
    assert window.canvas.zone.picture is not before


def test_dragging_the_left_anchor_keeps_everything_else_on_the_wall(qtbot, window):
    before = window.models.project.document
    spot = on_screen(window, before.placements[0].x, before.placements[0].y)
    drag(qtbot, window, on_screen(window, 0, 0), on_screen(window, 100, 40))
    after = window.models.project.document
    assert (after.hangings[0].left.x, after.hangings[0].left.y) == (0, 0)
    assert after.wall.left == pytest.approx(before.wall.left - 100, abs=8)
    moved = on_screen(window, after.placements[0].x, after.placements[0].y)
    assert (moved - spot).manhattanLength() <= 3


def test_keep_outs_are_moved_sized_and_removed(qtbot, window):
    before = window.models.project.document.wall.keep_outs[0]
    drag(qtbot, window, on_screen(window, 2800, 1200), on_screen(window, 2700, 1150))
    moved = window.models.project.document.wall.keep_outs[0]
    assert window.models.selection.item == KeepOutItem(0)
    assert moved.outline[0][0] == pytest.approx(before.outline[0][0] - 100, abs=12)
    size = next(f for f in window.findChildren(QLineEdit) if f.accessibleName() == "Width, height")
    size.selectAll()
    qtbot.keyClicks(size, "500, 1900")
    qtbot.keyClick(size, Qt.Key.Key_Return)
    outline = window.models.project.document.wall.keep_outs[0].outline
    assert outline[2][0] - outline[0][0] == pytest.approx(500) and outline[2][1] - outline[0][1] == pytest.approx(1900)
    window.parts.actions["remove"].trigger()
    assert [k.name for k in window.models.project.document.wall.keep_outs] == ["Socket"]


def test_keys_nudge_duplicate_and_remove(qtbot, window):
    window.models.selection.select(PlacementItem("placement-1"))
    window.canvas.setFocus()
    for _ in range(3):
        qtbot.keyClick(window.canvas, Qt.Key.Key_Right)
    qtbot.keyClick(window.canvas, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    placement = window.models.project.document.placements[0]
    assert (placement.x, placement.y) == (1053, 840)
    assert len(window.models.project.history.past) == 1
    window.parts.actions["duplicate"].trigger()
    assert len(window.models.project.document.placements) == 2
    window.parts.actions["remove"].trigger()
    assert len(window.models.project.document.placements) == 1


def test_dropping_a_file_places_it_there(qtbot, window):
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(ARTWORK))])
    at = QPointF(on_screen(window, 700, 900))
    event = QDropEvent(at, Qt.DropAction.CopyAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)
    window.canvas.dropEvent(event)
    qtbot.waitUntil(lambda: len(window.models.project.document.placements) == 2, timeout=10_000)
    placement = window.models.project.document.placements[-1]
    assert len(window.models.project.document.placements) == 2
    assert (placement.x, placement.y) == (pytest.approx(700, abs=8), pytest.approx(900, abs=8))
    assert len(window.models.project.document.artworks) == 1  # the same bytes are carried once


def test_a_broken_file_gives_a_sentence_and_changes_nothing(qtbot, window, tmp_path):
    before = window.models.project.document
    bad = tmp_path / "bad.svg"
    bad.write_text("not a drawing")
    window.files.open_path(bad)
    qtbot.waitUntil(window.bar.isVisible, timeout=10_000)
    assert "bad.svg" in window.bar.sentence.text()
    project = tmp_path / "bad.wallwright"
    project.write_bytes(b"junk")
    open_and_wait(qtbot, window, project)
    assert window.models.project.document == before


def test_numbers_take_units_and_arithmetic(qtbot, window):
    window.models.selection.select(PlacementItem("placement-1"))
    fields = {f.quantity.name: f for f in window.findChildren(NumberField)}
    field = fields["width"]
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "2.4 m / 3")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    placement = window.models.project.document.placements[0]
    assert (placement.width, placement.height) == (pytest.approx(800), pytest.approx(600))
    field = {f.quantity.name: f for f in window.findChildren(NumberField)}["width"]
    field.selectAll()
    qtbot.keyClicks(field, "minus nothing")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert field.error and not window.bar.isVisible(), "below the field, and nowhere else"
    assert window.models.project.document.placements[0].width == pytest.approx(800)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("1000", "mm", 1000),
        ("2.4 m / 3", "mm", 800),
        ("12cm", "mm", 120),
        ("2 in + 1", "mm", 51.8),
        ("1,5 m", "mm", 1500),
        ("(1 m - 20)/2", "mm", 490),
        ("750 g", "kg", 0.75),
        ("-45", "°", -45),
        ("0.6 A", "A", 0.6),
        ("600 mA", "A", 0.6),
    ],
)
def test_arithmetic(text, unit, value):
    assert evaluate(text, unit) == pytest.approx(value)


@pytest.mark.parametrize("text", ["", "abc", "1 +", "2 parsecs", "__import__('os')", "1/0", "9**9**9", "(" * 500])
def test_what_is_not_a_number_is_refused(text):
    with pytest.raises(BadValue):
        evaluate(text, "mm")


def test_outside_is_marked_and_repaired_with_one_click(qtbot, window):
    window.models.project.edit("Move", edits.set_placement(window.models.project.document, "placement-1", x=1700.0))
    planned(qtbot, window)
    assert not window.models.planning.is_exportable
    assert window.models.planning.preview.outside.bits.any()
    (check,) = (c for c in window.models.planning.plan.checks if c.id == "zone")
    words = move_words(check.move)
    assert words.startswith(f"Move it {-check.move.by[0]:.0f} mm to the left")
    buttons = {b.text().replace("\n", " "): b for b in window.checks.findChildren(QAbstractButton)}
    buttons[words].click()
    qtbot.waitUntil(lambda: window.models.project.document.placements[0].x < 1700, timeout=20_000)
    placement = window.models.project.document.placements[0]
    assert abs(placement.x - 1700 - check.move.by[0]) <= 1, "as far as the button says"
    planned(qtbot, window)
    assert window.models.planning.is_exportable
    warned = {c.id for c in window.models.planning.plan.checks if c.verdict in (Verdict.ERROR, Verdict.WARNING)}
    assert not warned & {"zone", "torque"}, "a margin is left"


def test_a_move_is_said_in_words():
    def words(dx: float, dy: float, subject: str = "") -> str:
        return move_words(ArtworkMove(("placement-1",), subject, (dx, dy)))

    assert words(0.0, 34.0) == "Lower it by 34 mm" and words(0.0, -5.0) == "Raise it by 5 mm"
    assert words(-12.0, 0.0) == "Move it 12 mm to the left"
    assert words(12.0, 34.0) == "Move it 12 mm to the right and 34 mm down"
    assert (
        words(0.0, 34.0, "“a”") == "Lower “a” by 34 mm"
        and words(0.0, -5.0, "all artwork") == "Raise all artwork by 5 mm"
    )
    assert words(-12.0, 0.0, "2 artworks") == "Move 2 artworks 12 mm to the left"
    assert words(12.0, 34.0, "“a”") == "Move “a” 12 mm to the right and 34 mm down"


def test_remedies_keep_inside_with_little_change():
    document = edits.set_placement(demo_document(), "placement-1", x=1500.0)
    moved = moved_in(document)
    assert moved.placements[0].width == 1000 and 1000 < moved.placements[0].x < 1500
    huge = edits.set_placement(document, "placement-1", width=4000.0, height=3000.0)
    with pytest.raises(BadValue):
        moved_in(huge)
    small = shrunk(huge)
    assert 600 < small.placements[0].width < 2000


@pytest.mark.parametrize(("x", "y", "width"), [(1050, 380, 900), (1050, 450, 2500), (700, 400, 1200), (1400, 600, 900)])
def test_shrinking_keeps_the_reserve_of_the_motors_where_there_is_room_for_it(x, y, width):
    """It took the largest place without reserve, 1.06 times the pull needed, with room below."""
    document = edits.set_field(demo_document(), "machine.body.mass", 1.05)
    document = edits.set_placement(document, "placement-1", x=x, y=y, width=width, height=0.75 * width)
    after = shrunk(document)
    left, top, right, bottom = bounding_box(after.placements)
    corners = np.array([[left, top], [right, top], [left, bottom], [right, bottom]])
    spared = edits.with_field(after.machine, "motor.usable", after.machine.motor.usable / (1.02 * TORQUE_RESERVE))
    rig = CableRobotModel.of(spared, after.hangings[0])
    assert not broken(after.wall, spared, rig, inverse_kinematics(rig, corners)).any()
    assert right - left > 0.25 * width


def test_better_anchors_with_one_click(qtbot, window):
    window.models.project.edit(
        "Move", edits.set_placement(window.models.project.document, "placement-1", x=1450.0, y=1050.0)
    )
    before = window.models.project.document
    window.apply_remedy(Remedy("advise-anchors"))
    qtbot.waitUntil(lambda: window.models.project.document is not before, timeout=30_000)
    planned(qtbot, window)
    assert window.models.planning.is_exportable
    window.models.project.undo()
    assert window.models.project.document == before


def test_export_by_mouse(qtbot, window, tmp_path, monkeypatch):
    planned(qtbot, window)
    folder = tmp_path / "new" / "job"

    def type_a_folder():
        dialog = QApplication.activeModalWidget()
        line = dialog.findChild(QLineEdit)
        line.selectAll()
        qtbot.keyClicks(line, str(folder))
        qtbot.keyClick(line, Qt.Key.Key_Return)

    with qtbot.waitSignal(window.models.planning.exported, timeout=60_000):
        QTimer.singleShot(0, type_a_folder)
        window.parts.actions["export"].trigger()
    assert (folder / "hanging-sheet.pdf").exists()
    assert window.bar.isVisible() and window.bar.open_folder.isVisible()
    sentence = window.bar.findChild(QLabel).text()
    assert "belts.ngc" in sentence and "hanging-sheet.pdf shows how" in sentence
    assert "Take care" in sentence and len(sentence.split()) < 80, "short enough for its caution to be read"


def test_export_says_why_it_is_off(qtbot, window):
    planned(qtbot, window)
    export = window.parts.actions["export"]
    assert export.isEnabled() and "hanging sheet" in export.toolTip()
    window.models.project.edit("Move", edits.set_placement(window.models.project.document, "placement-1", x=1700.0))
    assert not export.isEnabled() and "not planned yet" in export.toolTip()
    planned(qtbot, window)
    assert not export.isEnabled() and "Outside the draw zone" in export.toolTip()


def test_save_open_and_the_question_about_changes(qtbot, window, tmp_path, monkeypatch):
    path = tmp_path / "mine.wallwright"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a: (str(path), ""))
    window.models.project.set_field("Rename", "hangings.0.name", "Kitchen")
    assert window.isWindowModified()
    window.parts.actions["save"].trigger()
    assert read_project(path).hangings[0].name == "Kitchen" and not window.isWindowModified()
    window.models.project.set_field("Rename", "hangings.0.name", "Hall")
    window.parts.actions["new"].trigger()
    for answer in (QMessageBox.StandardButton.Cancel, QMessageBox.StandardButton.Discard):
        assert window.parts.start.is_shown and window.models.project.document.hangings[0].name == "Hall"
        monkeypatch.setattr(QMessageBox, "question", lambda *a, answer=answer, **k: answer)
        window.parts.start.page.guide.make.click()
    assert not window.parts.start.is_shown and window.models.project.document.placements == ()
    assert window.models.project.document.hangings[0].name != "Hall"
    open_and_wait(qtbot, window, path)
    assert window.models.project.document.hangings[0].name == "Kitchen"
    assert path in recent()


def test_new_leads_to_the_first_question_and_a_way_back_and_asks_when_the_project_is_replaced(
    qtbot, window, monkeypatch, qtlog
):
    asked, models = [], window.models
    monkeypatch.setattr(QMessageBox, "question", lambda *a, **k: asked.append(a) or QMessageBox.StandardButton.Discard)
    models.project.set_field("Mass", "machine.body.mass", 0.9)
    kept = models.project.document
    window.parts.actions["new"].trigger()
    page = window.parts.start.page
    assert not asked and page.guide.next.hasFocus() and page.guide.wall.isVisible()
    assert not any("setWindowModified" in record.message for record in qtlog.records)
    assert page.back_button.isVisible() and models.project.name in page.back_button.text()
    qtbot.mouseClick(page.back_button, Qt.MouseButton.LeftButton)
    assert not window.parts.start.is_shown and models.project.document is kept and models.project.is_dirty
    window.parts.actions["new"].trigger()
    page.guide.make.click()
    assert len(asked) == 1 and models.project.document.placements == ()
    window.parts.actions["new"].trigger()
    assert len(asked) == 1 and not page.back_button.isVisible(), "nothing leads back to a blank project"


@pytest.mark.parametrize("replace", ["demo", "example", "open_recent", "recover", "close"])
def test_the_start_page_asks_nothing_and_what_replaces_the_project_asks_once(window, monkeypatch, tmp_path, replace):
    """Nothing is lost on the way to the start page, so "Discard" would be a promise that it does not keep."""
    asked, models = [], window.models
    monkeypatch.setattr(QMessageBox, "question", lambda *a, **k: asked.append(a) or QMessageBox.StandardButton.Cancel)
    models.project.set_field("Mass", "machine.body.mass", 0.9)
    kept = models.project.document
    window.parts.actions["start"].trigger()
    assert window.parts.start.is_shown and not asked and window.parts.start.page.back_button.isVisible()
    page = window.parts.start.page
    deeds = {
        "demo": page.demo_button.click,
        "example": lambda: page.example.emit(EXAMPLES[0].id),
        "open_recent": lambda: page.open_path.emit(tmp_path / "other.wallwright"),
        "recover": lambda: page.recover.emit(None),
        "close": window.close,
    }
    deeds[replace]()
    assert len(asked) == 1 and models.project.document is kept and models.project.is_dirty


def test_messages_go_with_their_page(window, tmp_path):
    """On the start page they would lie over the steps of the guide, and afterwards speak of what is long past."""
    messages, start = window.models.messages, window.parts.start
    for say in (lambda: messages.say("It does not fit."), lambda: messages.say_files("Here.", [tmp_path / "a.pdf"])):
        say()
        window.parts.actions["start"].trigger()
        assert start.is_shown and window.bar.isHidden()
        say()
        start.page.back_button.click()
        assert not start.is_shown and window.bar.isHidden()


def test_exported_files_are_named_until_the_job_is_another_one(window, tmp_path):
    project, messages = window.models.project, window.models.messages
    messages.say_files("The job is in a folder.", [tmp_path / "hanging-sheet.pdf"])
    project.set_field("Readings", "hangings.0.survey.figure", "grid")
    assert window.bar.isVisible(), "readings are entered while its files are at the machine"
    project.set_field("Calibration", "machine.body.mass", 0.9)
    assert window.bar.isHidden()


@pytest.mark.parametrize("other", [True, False])
def test_an_export_that_ends_after_its_project_is_not_reported_over_another(qtbot, window, tmp_path, other):
    planning = window.models.planning
    document = window.models.project.document
    planning.export(str(tmp_path / "job"), document if other else None)
    request = next(iter(planning._asked.values()))
    window.models.project.load(msgspec.structs.replace(document), None)
    take = planning._take_aside if other else planning._take
    take(Response(request.id, files=(str(tmp_path / "job" / "hanging-sheet.pdf"),)), request)
    take(Response(request.id, trouble="The disk is full."), request)
    assert window.bar.isHidden()


def test_a_changed_project_has_no_mark_on_the_start_page(window, qtlog):
    window.models.project.set_field("Mass", "machine.body.mass", 0.9)
    assert window.isWindowModified()
    window.parts.actions["start"].trigger()
    window.models.project.file_changed.emit()
    assert not window.isWindowModified()
    assert not [record.message for record in qtlog.records if "setWindowModified" in record.message]
    window.parts.start.page.back_button.click()
    assert window.isWindowModified()


def test_playing_moves_the_machine(qtbot, window):
    planned(qtbot, window)
    window.strip.bar.setValue(window.strip.bar.maximum() // 2)
    assert window.canvas.machine_at is not None
    x, y = window.canvas.machine_at
    motion = window.models.planning.plan.motion
    assert np.hypot(*(motion.pen_xy - [x, y]).T).min() < 5
    window.strip.bar.setValue(window.strip.bar.maximum())


def test_nothing_blocks_while_planning(qtbot, window):
    """200,000 segments are planned; the event loop's longest pause is measured by a 5 ms timer. Planning in the window would
    pause it for as long as the strokes take, and again for their motion; the figure itself is the benchmark's."""
    tiles = "".join(f"M{5 * i} {5 * j}h2.5v2.5h-2.5z" for i in range(20) for j in range(20))
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" width="100" height="100"><path d="{tiles}"/></svg>'
    document = edits.add_artwork(
        demo_document(), "s.svg", "image/svg+xml", svg.encode(), (100, 100), (1050.0, 900.0), 600.0
    )[0]
    document = edits.set_field(document, "settings.fill.spacing", 0.06)
    document = edits.set_field(document, "settings.fill.kind", "cross-hatch")
    document = edits.set_field(document, "settings.join_gap", 0.0)
    document = edits.set_placement(document, document.placements[-1].id, colours="solid")
    ticks = [time.perf_counter()]
    timer = QTimer(interval=5)
    timer.timeout.connect(lambda: ticks.append(time.perf_counter()))
    window.models.project.edit("Fill", document)
    window.models.planning.plan_now()
    timer.start()
    qtbot.waitUntil(lambda: window.models.planning.preview_document is window.models.project.document, timeout=90_000)
    took = time.perf_counter() - ticks[0]
    end = time.perf_counter() + 2
    qtbot.waitUntil(lambda: time.perf_counter() > end)
    timer.stop()
    longest = np.diff(ticks).max()
    preview = window.models.planning.preview.strokes
    segments = len(preview.points) - len(preview)
    print(f"longest pause {1000 * longest:.0f} ms, {segments} segments")
    assert segments >= 200_000
    window.models.cancel()
    assert longest < took / 3


def test_every_control_can_be_named_by_a_screen_reader(qtbot, window):
    for selection in (
        WALL,
        MACHINE,
        HangingItem(0),
        KeepOutItem(1),
        PenItem("black"),
        PlacementItem("placement-1"),
    ):
        window.models.selection.select(selection)
        for kind in (QLineEdit, QComboBox, QSlider, QAbstractButton):
            for widget in window.findChildren(kind):
                named = widget.accessibleName() or getattr(widget, "text", lambda: "")() or widget.toolTip()
                inner = widget.objectName().startswith(("qt_", "Scroll"))
                assert named or inner or not widget.isVisible(), (selection, widget)


def test_actions_are_whole():
    assert len({a.id for a in ACTIONS}) == len(ACTIONS)
    keys = [str(a.shortcut) for a in ACTIONS if a.shortcut is not None]
    assert len(set(keys)) == len(keys)
    assert all(a.help.endswith(".") for a in ACTIONS)


EDITS = st.sampled_from(["move", "anchor", "pen", "ink", "remove", "field", "duplicate"])


@given(st.lists(st.tuples(EDITS, st.integers(0, 400)), min_size=1, max_size=25))
@settings(deadline=None, max_examples=60, derandomize=True)
def test_undo_of_everything_gives_the_first_document(steps):
    first = demo_document()
    history = History(first)
    for kind, number in steps:
        d = history.present
        name = d.placements[0].id if d.placements else None
        if kind == "move" and name:
            d = edits.set_placement(d, name, x=float(number))
        elif kind == "anchor":
            d = edits.move_anchor(
                d, 0, "left" if number % 2 else "right", (number - 200.0 + (0 if number % 2 else 2000), 7.0)
            )
        elif kind == "pen":
            d = edits.add_pen(d, "p", "#00ff00", 1.0 + number)[0]
        elif kind == "remove" and name:
            d = edits_arrangement.remove_placements(d, [name])
        elif kind == "field":
            d = edits.set_field(d, "machine.body.mass", 0.5 + number / 1000)
        elif kind == "duplicate" and name:
            d = edits_arrangement.duplicate_placements(d, [name])[0]
        history.edit(kind, d, merge=kind if number % 3 == 0 else None)
    last = history.present
    while history.past:
        history.undo()
    assert history.present == first
    while history.future:
        history.redo()
    assert history.present == last


@given(
    st.floats(0.01, 10),
    st.floats(-5000, 5000),
    st.floats(-5000, 5000),
    st.floats(0.3, 3),
    st.floats(0, 800),
    st.floats(0, 600),
)
@settings(deadline=None, max_examples=100, derandomize=True)
def test_zooming_keeps_the_point_under_the_pointer(scale, left, top, factor, x, y):
    view = View(left, top, scale)
    at = QPointF(x, y)
    assert view.zoomed(factor, at).to_wall(at) == pytest.approx(view.to_wall(at), abs=1e-6)


@given(
    st.sampled_from(["top left", "top right", "bottom left", "bottom right"]),
    st.floats(-3, 3),
    st.floats(-400, 400),
    st.floats(-400, 400),
)
@settings(deadline=None, max_examples=100, derandomize=True)
def test_scaling_keeps_the_opposite_corner(corner, turn, x, y):
    start = edits.replace(demo_document().placements[0], turn=turn)
    new = drag_handle(start, corner, (start.x + x, start.y + y), free=True)
    other = {"top left": (1, 1), "top right": (-1, 1), "bottom left": (1, -1), "bottom right": (-1, -1)}[corner]

    def place(p):
        cos, sin = np.cos(p.turn), np.sin(p.turn)
        u, v = other[0] * p.width / 2, other[1] * p.height / 2
        return p.x + u * cos - v * sin, p.y + u * sin + v * cos

    assert place(new) == pytest.approx(place(start), abs=1e-6)
    assert page_contains(new, new.x, new.y)


def test_the_whole_wall_stays_in_view_when_the_window_grows(window, qtbot):
    before = window.canvas.view.scale
    window.resize(1500, 1000)
    qtbot.waitUntil(lambda: window.canvas.view.scale > 1.05 * before)
    window.canvas.zoom(3.0)
    zoomed = window.canvas.view
    window.resize(1300, 900)
    qtbot.wait(50)
    assert window.canvas.view == zoomed


def test_the_wheel_scrolls_past_lists_without_changing_them(window, qtbot):
    planned(qtbot, window)
    window.models.selection.select(PlacementItem("placement-1"))
    qtbot.waitUntil(lambda: any(b.accessibleName() == "Pen" for b in window.findChildren(QComboBox)))
    pens = next(b for b in window.findChildren(QComboBox) if b.accessibleName() == "Pen")
    before, document = pens.currentIndex(), window.models.project.document
    at = QPointF(pens.rect().center())
    event = QWheelEvent(
        at,
        pens.mapToGlobal(at),
        QPoint(),
        QPoint(0, -120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    window.canvas.setFocus()
    QApplication.sendEvent(pens, event)
    assert pens.currentIndex() == before and window.models.project.document is document


def test_an_edit_ends_the_moment_and_old_trouble(window, qtbot):
    planned(qtbot, window)
    window.strip.player.seek(5.0)
    assert window.strip.player.at_moment
    window.models.messages.say("Something was wrong.")
    window.models.project.set_field("Move", "placements.0.x", 1000.0)
    assert not window.strip.player.at_moment
    assert window.canvas.machine_at is None
    assert not window.bar.isVisible()


def test_folded_lists_stay_folded(window):
    contents = window.findChild(Contents)
    pens = next(i for i in contents._items() if i.text(0).startswith("Pens"))
    pens.setExpanded(False)
    window.models.project.set_field("Move", "placements.0.x", 1000.0)
    window.models.project.edit("Add a pen", edits.add_pen(window.models.project.document, "Green", "#2f7d4f", 2.0)[0])
    assert not next(i for i in contents._items() if i.text(0).startswith("Pens")).isExpanded()


def test_a_heading_opens_the_page_of_the_first_thing_below_it(qtbot, window):
    contents = window.findChild(Contents)
    pens = next(i for i in contents._items() if i.text(0).startswith("Pens"))
    contents.itemClicked.emit(pens, 0)
    assert window.models.selection.item == PenItem(window.models.project.document.pens[0].id)


def test_good_enough_ends_the_search_as_an_edit_that_can_be_undone(qtbot, window):
    document = edits.set_field(demo_document(), "settings.fill.spacing", 2.0)
    document = edits.set_field(document, "settings.order.effort", "best")
    window.models.project.load(document, None)
    window.models.planning.plan_now()
    action = window.parts.actions["stop-searching"]
    assert not action.isEnabled()
    qtbot.waitUntil(action.isEnabled, timeout=60_000)
    button = next(
        b for b in window.statusBar().findChildren(QAbstractButton) if b.text() == ("Stop searching, use this order")
    )
    assert button.isVisible()
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    assert not action.isEnabled() and not button.isEnabled()
    qtbot.waitUntil(
        lambda: not window.models.planning.plan_is_stale and not window.models.planning.is_planning,
        timeout=60_000,
    )
    assert not button.isVisible()
    tries = window.models.project.document.settings.order.tries
    assert tries > 0 and f"{tries:,}" in window.statusBar().currentMessage()
    assert (
        window.models.planning.is_exportable
        and window.models.planning.preview_document is window.models.project.document
    )
    window.parts.actions["undo"].trigger()
    assert window.models.project.document == document and window.models.planning.plan_is_stale


def test_undo_and_redo_name_the_edit_in_the_menu_and_not_in_the_tool_bar(window):
    undo, redo = (window.parts.actions[name] for name in ("undo", "redo"))
    assert (undo.text(), redo.text()) == ("&Undo", "&Redo")
    window.models.project.set_field("Rename a & b", "hangings.0.name", "Other")
    assert undo.text() == "&Undo: Rename a && b" and undo.toolTip() == "Undo: Rename a & b"
    undo.trigger()
    assert undo.text() == "&Undo" and redo.text() == "&Redo: Rename a && b"
    assert (undo.iconText(), redo.iconText()) == ("Undo", "Redo")
