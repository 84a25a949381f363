"""Ready or not: the one line of the tool bar, and the checks as rows that open."""

import dataclasses

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDockWidget, QPushButton

from tests.support.experienced import ExperiencedRunner
from tests.support.jobs import SQUARE, document_of
from tests.support.windows import scripted_window, show_plan
from wallwright.document import edits
from wallwright.document.language import duration
from wallwright.jobs.checks import LONG_JOB, Check, Remedy, Verdict
from wallwright.planning.plan import Goal, Request
from wallwright.planning.stages import share_done
from wallwright.window.model.settings import settings
from wallwright.window.panels.check_row import move_words
from wallwright.window.shell.panel_heights import USUAL, kept_heights
from wallwright.window.shell.ready_status import describe_plan
from wallwright.window.widgets.state_button import StateButton
from wallwright.window.widgets.state_icons import State

INSIDE = document_of(SQUARE)
OUTSIDE = edits.set_placement(INSIDE, INSIDE.placements[0].id, x=1900.0)


@pytest.fixture(scope="module")
def plans():
    """Of the artwork inside and outside the draw zone."""
    runner = ExperiencedRunner()
    return {d: runner.run(Request(1, d, Goal.PLAN)).plan for d in (INSIDE, OUTSIDE)}


@pytest.fixture
def window(qtbot, tmp_path):
    window, planner = scripted_window(qtbot, INSIDE, tmp_path)
    window.planner = planner
    return window


def show_outside(window, plans) -> None:
    window.models.project.edit("Move", OUTSIDE)
    show_plan(window, plans[OUTSIDE])


def test_from_planning_to_ready_and_back(window, plans):
    assert window.status.text() == "Not planned yet"
    window.models.planning.plan_now()
    assert window.status.text().startswith("Planning") and window.status.state is State.BUSY
    show_plan(window, plans[INSIDE])
    state, text = describe_plan(plans[INSIDE])
    assert state is window.status.state and text == window.status.text()
    assert text.endswith(f"{duration(plans[INSIDE].estimate.total_s)}, 1 pen")
    assert text in window.status.toolTip()
    window.models.project.edit("Move", OUTSIDE)
    assert window.status.text() != text, "what was edited is not planned"


def test_planning_that_goes_on_never_shows_its_end(window):
    """The end of a stage is not the end of planning; the share only grows from stage to stage."""
    window.models.planning.plan_now()
    seen = []
    for stage in ("read", "strokes", "zone", "order", "motion"):
        for done in (0.0, 0.5, 1.0):
            window.models.planning.progress_changed.emit(stage, done)
            seen.append(int(window.status.text().split()[1]))
    assert seen == sorted(seen) and 90 < seen[-1] < 100 and seen[2] < 30


def test_what_counts_most_is_reported(plans):
    for verdicts, state, text in (
        ((Verdict.ERROR, Verdict.ERROR, Verdict.WARNING), State.ERROR, "2 things to fix"),
        ((Verdict.ERROR,), State.ERROR, "1 thing to fix"),
        ((Verdict.WARNING, Verdict.NOTE), State.WARNING, "Ready, 1 warning: "),
        ((Verdict.NOTE, Verdict.OK), State.OK, "Ready to export: "),
    ):
        checks = tuple(Check(str(i), v, "Title", "Text.") for i, v in enumerate(verdicts))
        found = describe_plan(dataclasses.replace(plans[INSIDE], checks=checks))
        assert found[0] is state and found[1].startswith(text)


def test_a_long_job_is_not_shown_as_if_nothing_were_the_matter(plans):
    """Fifteen hours with three pens once had a green line like any other job."""
    long = Check(LONG_JOB, Verdict.NOTE, "Long job", "Text.", remedies=(Remedy.SHORTEN,))
    state, text = describe_plan(dataclasses.replace(plans[INSIDE], checks=(long,)))
    assert state is State.NOTE and text.startswith("Ready, but long: ")


def test_a_click_opens_the_worst_check(qtbot, window, plans):
    show_outside(window, plans)
    assert window.status.text().endswith("to fix") and window.status.state is State.ERROR
    first = window.checks.rows()[0]
    qtbot.mouseClick(first.header, Qt.MouseButton.LeftButton)
    assert not first.is_open
    window.checks.parentWidget().hide()
    qtbot.mouseClick(window.status, Qt.MouseButton.LeftButton)
    assert window.checks.isVisible() and first.is_open and first.check.verdict is Verdict.ERROR


def test_one_remedy_is_recommended_and_the_others_are_in_a_menu(qtbot, window, plans):
    show_outside(window, plans)
    row = next(row for row in window.checks.rows() if row.check.id == "zone")
    wanted = []
    window.checks.remedy.disconnect()
    window.checks.remedy.connect(wanted.append)
    buttons = {b.text().replace("\n", " "): b for b in row.findChildren(QPushButton)}
    buttons[move_words(row.check.move)].click()  # named by what it does
    for action in buttons["More"].menu().actions():
        action.trigger()
    assert tuple(wanted) == row.check.remedies and len(wanted) > 3


def test_rows_show_the_number_that_counts_and_open_by_click(qtbot, window, plans):
    show_plan(window, plans[INSIDE])
    rows = {row.check.id: row for row in window.checks.rows()}
    assert all(row.is_open == (row.check.verdict in (Verdict.ERROR, Verdict.WARNING)) for row in rows.values())
    anchor, torque = rows["anchor-left"], rows["torque"]
    assert f"Pull up to {anchor.header.figure}," in anchor.check.text
    assert torque.header.figure.endswith(" times")
    assert float(torque.header.figure.split()[0]) == pytest.approx(
        float(torque.check.text.split(": ")[1].split()[0]), abs=0.051
    )
    before = anchor.height()
    qtbot.mouseClick(anchor.header, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: anchor.height() > 2 * before)
    assert any(b.text() == "Show" and b.isVisible() for b in anchor.findChildren(QPushButton))


def test_what_was_opened_stays_open_when_a_plan_arrives(qtbot, window, plans):
    show_plan(window, plans[INSIDE])
    row = next(row for row in window.checks.rows() if row.check.id == "belts")
    qtbot.keyClick(row.header, Qt.Key.Key_Space)
    assert row.is_open
    show_outside(window, plans)
    again = next(row for row in window.checks.rows() if row.check.id == "belts")
    assert again is not row and again.is_open
    others = [r for r in window.checks.rows() if r.check.verdict in (Verdict.NOTE, Verdict.OK)]
    assert {r.check.id for r in others if r.is_open} == {"belts"}


@pytest.mark.parametrize(("stage", "done"), [("read", 0.0), ("strokes", 0.5), ("order", 0.9), ("motion", 1.0)])
def test_both_places_that_show_progress_show_the_same(window, stage, done):
    """Once the bar showed the share of a stage and the line that of all planning."""
    window.models.planning.plan_now()
    window.models.planning.progress_changed.emit(stage, done)
    assert window.status.text() == f"Planning {window.progress.share.value() / 10:.0f} %"
    assert share_done("write", 0.25) == 0.25, "writing is no part of planning"


def test_a_name_of_a_check_that_is_too_long_takes_two_lines(qtbot):
    button = StateButton(State.ERROR)
    qtbot.addWidget(button)
    button.wraps = True
    text = "frieze.svg: not everything is drawn"
    button.show_state(State.ERROR, text, "12 of 40")
    wide = button.sizeHint().width()
    assert button._lines(wide) == [text] and button.heightForWidth(wide) == button.sizeHint().height()
    narrow = button._fixed_width() + button.fontMetrics().horizontalAdvance("not everything is drawn") + 4
    assert "\N{HORIZONTAL ELLIPSIS}" not in "".join(button._lines(narrow - button._fixed_width()))
    assert button.heightForWidth(narrow) > button.heightForWidth(wide)
    button.resize(narrow, 1)
    button.show()
    assert button.height() >= button.heightForWidth(narrow), "two lines are not cut, whatever a layout gives"


def test_contents_have_the_height_that_checks_do_not_need_yet(qtbot, window, plans):
    contents, checks = (window.findChild(QDockWidget, name) for name in ("contents", "checks"))
    assert not window.checks.rows()
    qtbot.waitUntil(lambda: contents.height() > 3 * checks.height())
    show_plan(window, plans[INSIDE])
    qtbot.waitUntil(lambda: bool(window.checks.rows()) and checks.height() > contents.height())
    window.resizeDocks([contents, checks], [400, 200], Qt.Orientation.Vertical)
    qtbot.waitUntil(lambda: contents.height() > checks.height())
    ours = contents.height(), checks.height()
    window.heights.keep()
    assert kept_heights() == ours
    for unusable in (["-3", "many"], ["400", "60"]):
        settings().setValue("window/panel heights", unusable)
        assert kept_heights() == USUAL
