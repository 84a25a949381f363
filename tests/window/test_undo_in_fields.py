"""Undo and redo by their keys while a field has the focus: what is half typed first, then the project."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QPlainTextEdit, QTextEdit

from tests.support.windows import scripted_window
from wallwright.document.generated_artwork import generated_content
from wallwright.planning.demo import demo_document
from wallwright.window.model.items import MACHINE, WALL, HangingItem, PenItem, PlacementItem
from wallwright.window.shell.action_ids import ActionId
from wallwright.window.widgets.line_text import LineField, TextField

CTRL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
REDO = [(Qt.Key.Key_Y, CTRL), (Qt.Key.Key_Z, CTRL | SHIFT)]


@pytest.fixture
def project(qtbot, tmp_path):
    """A window on the demo with two edits."""
    window, _ = scripted_window(qtbot, demo_document(), tmp_path)
    window.activateWindow()
    qtbot.waitUntil(lambda: QApplication.activeWindow() is window)
    for mass in (0.8, 0.9):
        window.models.project.set_field("Change", "machine.body.mass", mass)
    return window


def undo(qtbot) -> None:
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Z, CTRL)


def mass(window) -> float:
    return window.models.project.document.machine.body.mass


def lines(window) -> list:
    found = [w for kind in (QLineEdit, QPlainTextEdit, QTextEdit) for w in window.findChildren(kind)]
    return [w for w in found if w.isVisible() and w.isEnabled() and not isinstance(w.parentWidget(), QComboBox)]


@pytest.mark.parametrize(
    "item",
    [
        WALL,
        MACHINE,
        HangingItem(0),
        PenItem(demo_document().pens[0].id),
        PlacementItem(demo_document().placements[0].id),
    ],
    ids=lambda item: type(item).__name__,
)
def test_every_field_that_holds_nothing_half_typed_leaves_the_keys_to_the_project(qtbot, project, item):
    """Ctrl+Z did nothing while any number field had the keys, and a wrong number was saved unnoticed."""
    project.models.selection.select(item)
    names = [(type(w).__name__, w.accessibleName()) for w in lines(project)]
    assert names
    for number, name in enumerate(names):
        field = lines(project)[number]  # pages make parts of themselves anew
        field.setFocus(Qt.FocusReason.TabFocusReason)
        undo(qtbot)
        assert mass(project) == 0.8, name
        key, modifiers = REDO[number % 2]
        qtbot.keyClick(QApplication.focusWidget(), key, modifiers)
        assert mass(project) == 0.9, name


def field_called(window, name: str) -> QLineEdit:
    found = next(w for w in lines(window) if w.accessibleName() == name)
    found.setFocus(Qt.FocusReason.TabFocusReason)
    return found


def test_a_number_just_entered_is_undone_in_its_field(qtbot, project):
    project.models.selection.select(MACHINE)
    field = field_called(project, "Mass")
    qtbot.keyClicks(field, "1.1")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert mass(project) == 1.1
    undo(qtbot)
    assert mass(project) == 0.9 and field.text() == "0.9 kg"
    undo(qtbot)
    assert mass(project) == 0.8 and field.text() == "0.8 kg"


@pytest.mark.parametrize(("key", "modifiers"), REDO)
def test_half_typed_text_is_undone_and_redone_in_the_field_first(qtbot, project, key, modifiers):
    project.models.selection.select(MACHINE)
    field = field_called(project, "Mass")
    qtbot.keyClicks(field, "7")
    undo(qtbot)
    assert field.text() == "0.9 kg" and mass(project) == 0.9
    qtbot.keyClick(field, key, modifiers)
    assert field.text() == "7" and mass(project) == 0.9
    undo(qtbot)
    undo(qtbot)
    assert field.text() == "0.8 kg" and mass(project) == 0.8


def test_what_was_taken_back_in_a_field_is_not_redone_when_one_comes_back_to_it(qtbot, project):
    project.models.selection.select(MACHINE)
    field = field_called(project, "Mass")
    qtbot.keyClicks(field, "7")
    undo(qtbot)
    project.canvas.setFocus()
    project.models.project.undo()
    field.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.keyClick(field, Qt.Key.Key_Y, CTRL)
    assert mass(project) == 0.9 and field.text() == "0.9 kg"


def test_words_are_undone_in_their_field_then_in_the_project(qtbot, project):
    """Words are taken while one types; once all are taken back no step is left that undoes nothing."""
    models = project.models
    project.parts.generated_artwork.words()
    field = next(w for w in lines(project) if isinstance(w, TextField))
    steps = len(models.project.history.past)

    def words() -> str:
        return generated_content(models.project.document.artworks[-1]).text

    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "Low")
    qtbot.waitUntil(lambda: words() == "Low")
    assert len(models.project.history.past) == steps + 1
    while field.toPlainText() != "Text":
        undo(qtbot)
    qtbot.waitUntil(lambda: words() == "Text")
    assert len(models.project.history.past) == steps
    undo(qtbot)
    assert len(models.project.history.past) == steps - 1, "the next one is of the project"


def test_words_follow_an_undo_of_the_project_while_the_field_has_the_keys(qtbot, project):
    models = project.models
    project.parts.generated_artwork.words()
    field = next(w for w in lines(project) if isinstance(w, TextField))
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "Low")
    qtbot.waitUntil(lambda: generated_content(models.project.document.artworks[-1]).text == "Low")
    project.parts.actions[ActionId.UNDO].trigger()
    assert field.toPlainText() == "Text"


def test_no_field_of_the_window_is_of_a_kind_that_keeps_undo_for_itself(project):
    for item in (WALL, MACHINE, HangingItem(0), PenItem(demo_document().pens[0].id)):
        project.models.selection.select(item)
        for field in project.findChildren(QLineEdit) + project.findChildren(QPlainTextEdit):
            is_of_qt = field.objectName().startswith("qt_")
            assert isinstance(field, LineField | TextField) or is_of_qt, field.accessibleName()
