"""Whoever types is never disturbed: plans that arrive, autosaves and a change of language take no letter away.

Plans arrive at random times between the keys, each with other colours, so that the parts of the page are made anew.
tests/window/test_typing_any_moment.py has each moment there is.
"""

import dataclasses
import random

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QComboBox, QFileDialog, QLineEdit

from wallwright.document.project import read_project
from wallwright.window.model.items import MACHINE, PlacementItem

SEEDS = [0, *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(1, 12))]


@pytest.fixture
def arriving(yard):
    """A plan that arrives: as the planner's, with other lengths, so that nothing on the page is as it was."""
    planning, count = yard.models.planning, [0]

    def arrive() -> None:
        count[0] += 1
        reports = []
        for report in planning.preview.reports:
            colours = tuple(dataclasses.replace(use, length=use.length + 1000.0 * count[0]) for use in report.colours)
            reports.append(dataclasses.replace(report, colours=colours))
        planning.preview = dataclasses.replace(planning.preview, reports=tuple(reports))
        planning.preview_changed.emit()
        planning.plan_changed.emit()
        QApplication.processEvents()

    return arrive


def field_of(window, name: str) -> QLineEdit:
    fields = window.properties.widget().findChildren(QLineEdit)
    return next(f for f in fields if f.accessibleName() == name and f.isVisible())


def type_disturbed(qtbot, window, name: str, text: str, disturb, chance: random.Random) -> None:
    """As a person: Tab selects all, then letter by letter into whatever has the keys."""
    field = field_of(window, name)
    window.properties.ensureWidgetVisible(field)
    field.setFocus(Qt.FocusReason.TabFocusReason)
    assert field.hasSelectedText()
    for letter in text:
        for _ in range(chance.randrange(3)):
            disturb()
        window.files.autosave._keep()
        qtbot.keyClicks(QApplication.focusWidget(), letter)
    disturb()
    qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)


@pytest.mark.parametrize("seed", SEEDS)
def test_numbers_are_entered_as_typed_while_plans_arrive(qtbot, yard, arriving, seed):
    chance, models = random.Random(seed), yard.models
    placement = models.project.document.placements[0]
    models.selection.select(PlacementItem(placement.id))
    yard.activateWindow()
    qtbot.waitActive(yard)
    width = chance.randrange(300, 900)
    type_disturbed(qtbot, yard, "Width", f"{width}", arriving, chance)
    assert models.project.document.placement(placement.id).width == width
    models.selection.select(MACHINE)
    mass = chance.randrange(500, 900) / 1000
    type_disturbed(qtbot, yard, "Mass", f"{mass} kg", arriving, chance)
    assert models.project.document.machine.body.mass == pytest.approx(mass)
    type_disturbed(qtbot, yard, "Left belt exit", f"-{chance.randrange(40, 80)}, 3", arriving, chance)
    assert models.project.document.machine.body.left_exit[1] == 3.0


def test_a_coverage_in_the_part_that_is_made_anew(qtbot, yard, arriving):
    """The field itself is another one after each plan."""
    models = yard.models
    placement = models.project.document.placements[0]
    models.selection.select(PlacementItem(placement.id))
    yard.activateWindow()
    qtbot.waitActive(yard)
    boxes = yard.properties.widget().findChildren(QComboBox)
    rules = next(box for box in boxes if box.accessibleName() == "Rule for colours")
    rules.setCurrentIndex(rules.findData("table"))  # mixed colours have no coverage of their own
    rules.activated.emit(rules.currentIndex())
    models.planning.plan_now()
    qtbot.waitUntil(lambda: not models.planning.plan_is_stale and not models.planning.is_planning, timeout=60_000)
    type_disturbed(qtbot, yard, "Coverage", "37", arriving, random.Random(1))
    inks = models.project.document.placement(placement.id).inks
    assert any(ink.fill is not None and ink.fill.coverage == 37.0 for ink in inks)


def test_half_typed_text_counts_as_entered_when_the_language_changes(qtbot, yard, monkeypatch):
    from wallwright.window.application.windows import Windows

    models, windows = yard.models, Windows()
    models.selection.select(MACHINE)
    yard.activateWindow()
    qtbot.waitActive(yard)
    field = field_of(yard, "Mass")
    field.setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.keyClicks(field, "0.81 kg")
    windows.retranslate()
    assert models.project.document.machine.body.mass == pytest.approx(0.81)


def test_what_is_half_typed_is_saved(qtbot, yard, monkeypatch, tmp_path):
    yard.models.selection.select(MACHINE)
    yard.activateWindow()
    qtbot.waitActive(yard)
    field_of(yard, "Mass").setFocus(Qt.FocusReason.TabFocusReason)
    qtbot.keyClicks(QApplication.focusWidget(), "0.85 kg")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *given: (str(tmp_path / "yard.wallwright"), ""))
    yard.parts.actions["save"].trigger()
    assert read_project(tmp_path / "yard.wallwright").machine.body.mass == pytest.approx(0.85)
