"""Ready or not: the one line of the tool bar, and the checks as rows that open."""

import dataclasses

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton

from tests.support.jobs import SQUARE, document_of
from wallwright.document import edits
from wallwright.document.language import duration
from wallwright.jobs.checks import Check, Verdict
from wallwright.window.shell.ready_status import describe_plan
from wallwright.window.widgets.state_icons import State


@pytest.fixture
def planned(qtbot, window):
    """A job that is quick to plan."""
    window.models.project.load(document_of(SQUARE), None)
    plan_again(qtbot, window)
    return window


def plan_again(qtbot, window) -> None:
    window.models.planning.plan_now()
    qtbot.waitUntil(lambda: window.models.planning.plan_is_final, timeout=60_000)


def move(window, x: float) -> None:
    project = window.models.project
    project.edit("Move", edits.set_placement(project.document, project.document.placements[0].id, x=x))


def test_from_planning_to_ready_and_back(qtbot, window):
    window.models.project.load(document_of(SQUARE), None)
    assert window.status.text() == "Not planned yet"
    window.models.planning.plan_now()
    assert window.status.text().startswith("Planning") and window.status.state is State.BUSY
    plan_again(qtbot, window)
    state, text = describe_plan(window.models.planning.plan)
    total = duration(window.models.planning.plan.estimate.total_s)
    assert state is window.status.state and text == window.status.text() and f"{total}, 1 pen" in text
    assert text in window.status.toolTip()
    move(window, 990.0)
    assert total not in window.status.text(), "what was edited is not planned"


def test_what_counts_most_is_said(planned):
    plan = planned.models.planning.plan
    for verdicts, state, text in (
        ((Verdict.BAD, Verdict.BAD, Verdict.WARNING), State.ERROR, "2 things to fix"),
        ((Verdict.BAD,), State.ERROR, "1 thing to fix"),
        ((Verdict.WARNING, Verdict.NOTE), State.WARNING, "Ready, 1 warning: "),
        ((Verdict.NOTE, Verdict.GOOD), State.OK, "Ready to export: "),
    ):
        checks = tuple(Check(str(i), v, "Title", "Text.") for i, v in enumerate(verdicts))
        found = describe_plan(dataclasses.replace(plan, checks=checks))
        assert found[0] is state and found[1].startswith(text)


def test_a_click_opens_the_worst_check(qtbot, planned):
    move(planned, 1900.0)
    plan_again(qtbot, planned)
    assert planned.status.text() == "1 thing to fix"
    first = planned.checks.rows()[0]
    qtbot.mouseClick(first.header, Qt.MouseButton.LeftButton)
    assert not first.is_open
    planned.checks.parentWidget().hide()
    qtbot.mouseClick(planned.status, Qt.MouseButton.LeftButton)
    assert planned.checks.isVisible() and first.is_open and first.check.verdict is Verdict.BAD


def test_rows_show_the_number_that_counts_and_open_by_click(qtbot, planned):
    rows = {row.check.id: row for row in planned.checks.rows()}
    assert all(row.is_open == (row.check.verdict in (Verdict.BAD, Verdict.WARNING)) for row in rows.values())
    anchor, torque = rows["anchor-left"], rows["torque"]
    assert f"Pull up to {anchor.header.figure}." in anchor.check.text
    assert torque.header.figure.endswith(" times")
    assert float(torque.header.figure.split()[0]) == pytest.approx(
        float(torque.check.text.split(": ")[1].split()[0]), abs=0.051
    )
    before = anchor.height()
    qtbot.mouseClick(anchor.header, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: anchor.height() > 2 * before)
    assert any(b.text() == "Show" and b.isVisible() for b in anchor.findChildren(QPushButton))


def test_what_was_opened_stays_open_when_a_plan_arrives(qtbot, planned):
    row = next(row for row in planned.checks.rows() if row.check.id == "belts")
    qtbot.keyClick(row.header, Qt.Key.Key_Space)
    assert row.is_open
    row.header.setFocus()
    move(planned, 990.0)
    plan_again(qtbot, planned)
    again = next(row for row in planned.checks.rows() if row.check.id == "belts")
    assert again is not row and again.is_open
    others = [r for r in planned.checks.rows() if r.check.verdict in (Verdict.NOTE, Verdict.GOOD)]
    assert {r.check.id for r in others if r.is_open} == {"belts"}
