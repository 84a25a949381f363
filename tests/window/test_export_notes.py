"""What an export of several hangings says of each: warnings, missing files, and hangings that are not planned yet."""

import dataclasses
import html
import json

import pytest
from PySide6.QtWidgets import QLabel

from tests.support.walls import hung_banner
from wallwright.document import edits
from wallwright.jobs.checks import Check, Verdict
from wallwright.jobs.file_names import REPORT, SHEET
from wallwright.jobs.wall_report import WALL_REPORT
from wallwright.planning.plan import Goal, Plan, Request
from wallwright.planning.runner import Runner
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.features.export.dialog import ExportDialog
from wallwright.window.model.models import Models
from wallwright.window.shell.ready_status import ReadyStatus

NO_PLANE = Check("formula", Verdict.NOTE, "Controller's formula", "It cannot reach the belt lengths.")


@pytest.fixture(scope="module")
def wall():
    """A document of two hangings, the first with a fixing that is rated too low, and both plans; the first without files in
    the plane."""
    document = hung_banner(150.0, 2400.0)
    document = edits.set_field(document, "hangings.0.left.rating", 15.0)
    runner = Runner()
    plans = [runner.run(Request(n, document, Goal.PLAN, n)).require_plan() for n in range(len(document.hangings))]
    plans[0] = dataclasses.replace(plans[0], checks=(*plans[0].checks, NO_PLANE))
    return document, plans


def dialog_with(qtbot, tmp_path, wall, known: list[Plan]) -> tuple[ProjectWindow, ExportDialog]:
    """A window on the second hanging, and its dialog, when some plans are known."""
    document, plans = wall
    models = Models.of(document)
    window = ProjectWindow(models, tmp_path / "log")
    qtbot.addWidget(window)
    models.selection.hanging = 1
    planning = models.planning
    planning.plans, planning.plan = {plan.hanging: plan for plan in known}, plans[1]
    planning.plan_document = models.project.document
    dialog = ExportDialog(
        tmp_path / "job",
        document.machine.controller,
        window,
        document.hangings[1].name,
        number=1,
        project=models.project,
        planning=planning,
    )
    qtbot.addWidget(dialog)
    return window, dialog


def said(dialog: ExportDialog) -> str:
    return html.unescape(" ".join(label.text() for label in dialog.findChildren(QLabel) if not label.isHidden()))


def test_warnings_of_every_hanging_are_named_with_it(qtbot, tmp_path, wall):
    _, plans = wall
    assert len(plans) == 2 and any(c.verdict is Verdict.WARNING for c in plans[0].checks)
    window, dialog = dialog_with(qtbot, tmp_path, wall, plans)
    assert "Hanging 1, Left anchor:" in said(dialog) and "Not planned yet" not in said(dialog)
    dialog._which.setCurrentIndex(1)
    assert "Left anchor:" not in said(dialog), "only the second is written"
    status = window.findChild(ReadyStatus)
    status.refresh()
    assert status.text().endswith("(Hanging 2). See also Hanging 1.") and status.state.name == "WARNING"


def test_hangings_without_a_plan_are_named(qtbot, tmp_path, wall):
    _, dialog = dialog_with(qtbot, tmp_path, wall, wall[1][1:])
    assert "Not planned yet, so warnings appear after the export: Hanging 1." in said(dialog)
    dialog._which.setCurrentIndex(1)
    assert "Not planned yet" not in said(dialog)


def test_files_that_a_hanging_does_not_get_are_named_with_the_reason(qtbot, tmp_path, wall):
    _, dialog = dialog_with(qtbot, tmp_path, wall, wall[1])
    assert "Hanging 1 gets no plane.ngc and no corrected.svg: the controller's formula" in said(dialog)
    dialog._which.setCurrentIndex(1)
    assert "gets no" not in said(dialog) and "plane.ngc" in said(dialog)


def test_a_single_job_without_a_path_in_the_plane_does_not_promise_its_files(qtbot, window, tmp_path):
    models = window.models
    models.planning.plan_now()
    qtbot.waitUntil(lambda: models.planning.plan_is_final)
    plan = models.planning.plan
    models.planning.plan = dataclasses.replace(plan, checks=(*plan.checks, NO_PLANE))
    dialog = ExportDialog(
        tmp_path / "job",
        models.project.document.machine.controller,
        window,
        project=models.project,
        planning=models.planning,
    )
    qtbot.addWidget(dialog)
    assert "Also written: motion.jsonl" in said(dialog)
    assert (
        "plane.ngc and corrected.svg are not written: the controller's formula cannot reach all belt lengths."
        in said(dialog)
    )


def test_after_the_export_the_message_names_warnings_and_missing_files(window, tmp_path):
    paths = []
    for number, checks, files in (
        (1, [("formula", "note", "Controller's formula"), ("torque", "warning", "Motor torque")], ["belts.ngc"]),
        (2, [("torque", "ok", "Motor torque")], ["belts.ngc", "plane.ngc"]),
    ):
        folder = tmp_path / f"hanging-{number}"
        folder.mkdir()
        report = {
            "hanging": f"Hanging {number}",
            "checks": [dict(zip(("id", "verdict", "title"), check, strict=True)) for check in checks],
            "verified": {name: {} for name in files},
        }
        (folder / REPORT).write_text(json.dumps(report))
        paths += [folder / SHEET, folder / REPORT]
    window.models.planning.exported.emit(tuple(map(str, (*paths, tmp_path / WALL_REPORT))))
    text = window.bar.sentence.text()
    assert "Hanging 1 gets no plane.ngc and no corrected.svg" in text and "Hanging 2 gets" not in text
    assert "Warnings: Hanging 1 (Motor torque)." in text
