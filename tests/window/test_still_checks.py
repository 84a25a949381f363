"""Rows and buttons of the checks stay where they are under a hand that is about to click."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QCursor
from PySide6.QtWidgets import QWidget

from tests.support.experienced import ExperiencedRunner
from tests.support.jobs import SQUARE, document_of
from tests.support.windows import scripted_window, show_plan
from wallwright.document.edits import replace
from wallwright.planning.plan import Goal, Request

DOCUMENT = document_of(SQUARE)


@pytest.fixture(scope="module")
def plan():
    return ExperiencedRunner().run(Request(1, DOCUMENT, Goal.PLAN)).plan


@pytest.fixture
def window(qtbot, tmp_path):
    window, planner = scripted_window(qtbot, DOCUMENT, tmp_path)
    window.planner = planner
    return window


def tops(window) -> dict[str, int]:
    """Of the rows, pixels below the top of the panel."""
    window.checks.widget().layout().activate()
    return {row.check.title: row.mapTo(window.checks.viewport(), QPoint()).y() for row in window.checks.rows()}


def test_rows_do_not_move_when_the_note_comes_and_goes(qtbot, window, plan):
    show_plan(window, replace_plan(plan, is_provisional=True))
    assert any("rovisional" in label.text() for label in window.checks.findChildren(type(note_of(window))))
    provisional = tops(window)
    show_plan(window, plan)
    assert not note_of(window).text().strip()
    assert tops(window) == provisional and len(provisional) > 3
    project = window.models.project
    project.set_field("Width", "placements.0.width", 700.0)
    assert "before your last change" in note_of(window).text() and tops(window) == provisional


def replace_plan(plan, **fields):
    import dataclasses

    return dataclasses.replace(plan, **fields)


def note_of(window):
    from wallwright.window.panels.checks_panel import NoteLine

    return window.checks.findChild(NoteLine)


def test_the_row_under_the_mouse_stays_there(qtbot, window, plan, monkeypatch):
    """Two checks above it are gone in the next plan; the page is longer than the panel."""
    many = tuple(replace(check, verdict=plan.checks[0].verdict) for check in plan.checks)
    show_plan(window, replace_plan(plan, checks=many))
    for row in window.checks.rows():
        row.set_open(True)
        row.opened.emit(True)
    window.checks.widget().layout().activate()
    bar = window.checks.verticalScrollBar()
    qtbot.waitUntil(lambda: bar.maximum() > 300)
    bar.setValue(bar.maximum() // 2)
    view = window.checks.viewport()
    row = next(r for r in window.checks.rows() if view.rect().contains(r.mapTo(view, QPoint(10, 5))))
    at = row.mapTo(view, QPoint(10, 5))
    monkeypatch.setattr(QCursor, "pos", lambda: view.mapToGlobal(at))
    title, before = row.check.title, row.mapTo(view, QPoint()).y()
    gone = [check for check in many if check.title != window.checks.rows()[0].check.title]
    show_plan(window, replace_plan(plan, checks=tuple(gone)))
    assert tops(window)[title] == before


def test_another_button_under_the_mouse_takes_no_click_at_once(qtbot, window, plan, monkeypatch):
    show_plan(window, plan)
    view, rows = window.checks.viewport(), window.checks.rows()
    window.checks.widget().layout().activate()
    qtbot.waitUntil(lambda: view.height() > 100)  # it was low while there were no checks
    at = rows[0].header.mapTo(view, QPoint(20, 5))
    monkeypatch.setattr(QCursor, "pos", lambda: view.mapToGlobal(at))
    transparent = Qt.WidgetAttribute.WA_TransparentForMouseEvents

    def page() -> QWidget:
        return window.checks.widget()

    show_plan(window, replace_plan(plan, checks=plan.checks[1:]))
    assert page().testAttribute(transparent)
    qtbot.waitUntil(lambda: not page().testAttribute(transparent))
    show_plan(window, replace_plan(plan, checks=plan.checks[1:4]))
    assert not page().testAttribute(transparent), "the same button is there"
