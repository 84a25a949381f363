"""A provisional plan in the window: shown at once, said to be one, and not counted on where a stroke's number matters."""

import dataclasses

import pytest

from tests.jobs.test_continuation_files import LINES
from tests.support.jobs import document_of
from tests.support.planners import Scripted
from wallwright.planning.plan import Goal, Request
from wallwright.planning.runner import Runner
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.model.models import Models
from wallwright.window.shell.actions.conditions import can_continue

DOCUMENT = document_of(LINES, (100.0, 80.0), width=700.0)
NOTE = "Provisional"


@pytest.fixture(scope="module")
def plan():
    return Runner().run(Request(1, DOCUMENT, Goal.PLAN)).plan


@pytest.fixture
def shown(qtbot, tmp_path):
    planner = Scripted()
    window = ProjectWindow(Models.of(DOCUMENT, planner), tmp_path / "log")
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    window.show()
    qtbot.waitExposed(window)
    window.models.planning.plan_now()
    return window, planner


def notes(window: ProjectWindow) -> tuple[bool, bool]:
    """Whether the time strip and the checks say that the plan is provisional."""
    from PySide6.QtWidgets import QLabel

    return (
        NOTE in window.strip.estimate.text(),
        any(NOTE in label.text() for label in window.checks.findChildren(QLabel)),
    )


def test_it_is_shown_at_once_and_named_as_one(shown, plan):
    window, planner = shown
    models = window.models
    assert planner.requests[-1].provisional
    planner.answer(final=False, preview=plan.preview)
    planner.answer(final=False, plan=dataclasses.replace(plan, is_provisional=True))
    models.planning.receive()
    assert not models.planning.plan_is_stale and not models.planning.plan_is_final and models.planning.is_planning
    assert notes(window) == (True, True) and window.strip.play.isEnabled()
    assert models.planning.is_exportable and not can_continue(window.parts), (
        "export plans anew, going on counts strokes"
    )
    planner.answer(preview=plan.preview, plan=plan)
    models.planning.receive()
    assert models.planning.plan_is_final and not models.planning.is_planning
    assert notes(window) == (False, False) and can_continue(window.parts)


def test_after_a_cancelled_search_it_is_asked_for_again(shown, plan):
    window, planner = shown
    models = window.models
    planner.answer(final=False, plan=dataclasses.replace(plan, is_provisional=True))
    models.planning.receive()
    models.cancel()
    assert not models.planning.plan_is_final and not models.planning.is_planning
    asked = len(planner.requests)
    models.planning.plan_now()
    assert len(planner.requests) == asked + 1


def test_another_documents_export_and_a_rest_want_no_provisional_plan(shown, plan):
    window, planner = shown
    window.models.planning.export("nowhere", DOCUMENT)
    assert not planner.requests[-1].provisional
