"""Exporting the job: asking for the folder, and saying what was written."""

from __future__ import annotations

import json
import logging
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QApplication, QWidget

from wallwright.document import edits_register
from wallwright.document.language import tr
from wallwright.jobs.checks import Verdict
from wallwright.jobs.file_names import SHEET, file_for
from wallwright.jobs.ignored_limits import IgnoredLimits, ignored_limits_in
from wallwright.jobs.wall_report import WALL_REPORT
from wallwright.window.model.limits_ignored import limits_ignored_now
from wallwright.window.model.models import Models
from wallwright.window.model.planning_client import PlanningClient

if TYPE_CHECKING:
    from wallwright.window.features.export.typing_dialog import TypingDialog


T = TypeVar("T")


def why_not_exported(planning: PlanningClient) -> str:
    """Why the job cannot be exported now; "" when it can."""
    plan = planning.fresh_plan
    if plan is None:
        return tr("The job is not planned yet. Plan it now, or wait until planning ends.")
    bad = [c.title for c in plan.checks if c.verdict is Verdict.ERROR]
    return tr("Cannot be exported yet: {0}. See Checks.", ", ".join(bad)) if bad else ""


class ExportFeature(QObject):
    """Of one window."""

    shorter_wanted = Signal()
    """The page of the finished job was left to see what shortens it."""

    def __init__(self, models: Models, parent: QWidget) -> None:
        super().__init__(parent)
        self._models, self._parent = models, parent
        self._typing: TypingDialog | None = None
        """What to type for the job exported last, while it is shown."""
        models.planning.exported.connect(self._report)
        models.project.loaded.connect(self._close_typing)

    def open(self) -> None:
        """Asks for the folder, and exports."""
        from wallwright.window.features.export.dialog import SHORTER, ExportDialog, proposed_folder

        document, hanging = self._models.project.document, self._models.selection.hanging
        has_several = len(document.hangings) > 1
        dialog = ExportDialog(
            proposed_folder(self._models.project.path),
            document.machine.controller,
            self._parent,
            document.hangings[hanging].name if has_several else "",
            number=hanging,
            project=self._models.project,
            estimate=plan.estimate if (plan := self._models.planning.fresh_plan) is not None else None,
            ignored=limits_ignored_now(self._models),
            planning=self._models.planning,
        )
        result = dialog.exec()
        if result == SHORTER:
            self.shorter_wanted.emit()
        elif result:
            if has_several:
                self.keep_handover_lines()
            self._models.planning.export(str(dialog.place), every=dialog.every)

    def keep_handover_lines(self) -> None:
        """Fixes handover lines and register marks where they are: once exported they are on the wall."""
        document, planning = self._models.project.document, self._models.planning
        preview = planning.preview
        if preview is not None and planning.preview_document is document:
            kept = edits_register.keep_handover_lines(document, preview.meetings, preview.marks)
            if kept != document:
                self._models.project.edit(tr("Fix the handover lines"), kept)

    def _report(self, files: tuple[str, ...]) -> None:
        """Says what was written. files: whole paths; those of several hangings in a folder each, the report of them all
        last and beside these."""
        from wallwright.jobs.how_to_run import how_to_run
        from wallwright.window.features.export.typing_dialog import TypingDialog, typing_of_files  # brings all of jobs

        paths = tuple(map(Path, files))
        folder = paths[-1].parent
        if len({p.parent for p in paths}) > 1:
            hangings = sorted({p.parent.name for p in paths if p.parent != folder})
            text = tr(
                "The job files of all hangings are in {0}: {1}, and {2}. Each file was read back and compared with the "
                "plan.",
                folder,
                ", ".join(hangings),
                paths[-1].name,
            )
            self._say(text, paths)
            return
        typing = typing_of_files(paths)
        if typing is not None:
            self._say(
                tr("The drawings are in {0}. What to type is shown beside; {1} says it too.", folder, SHEET),
                paths,
            )
            # Beside a dialog that waits for an answer, only what belongs to it takes clicks and keys.
            self._typing = TypingDialog(typing, QApplication.activeModalWidget() or self._parent)
            self._typing.destroyed.connect(self._forget_typing)
            self._typing.show()
            return
        own, sheet = (
            # Of the rest of a job they have longer names.
            next((p.name for p in paths if p.suffix == name.suffix and p.name.startswith(name.stem)), "")
            for name in (Path(file_for(self._models.project.document.machine.controller)), Path(SHEET))
        )
        model = self._models.project.document.machine.controller
        parts = [p.name for p in paths if own and p.name.startswith(Path(own).stem.partition("-part-")[0] + "-part-")]
        transfer = how_to_run(model, parts or [own])[0] if own else ""
        text = tr("The job is in {0}. All {1} files were read back and compared with the plan.", folder, len(paths))
        then = tr("{0} shows how to hang the machine and how to run the job.", sheet)
        self._say(" ".join(filter(None, (text, transfer, then))), paths)

    def _close_typing(self) -> None:
        """Another project is shown: what to type was for the last one."""
        if self._typing is not None:
            self._typing.close()

    def _forget_typing(self) -> None:
        self._typing = None

    def _say(self, text: str, paths: Sequence[Path]) -> None:
        """Says it with what comes before running the files: which limits they ignore, and the caution."""
        from wallwright.jobs.sheet.cautions import Occasion
        from wallwright.window.panels.caution_notes import caution_sentence

        ignored = [f"{name}: {mark.text}" if name else mark.text for name, mark in ignored_in_files(paths)]
        parts = (*ignored, text, *notes_in_files(paths), caution_sentence(Occasion.RUN, self._models.project))
        self._models.messages.say_files(" ".join(filter(None, parts)), paths)


def hanging_names(paths: Sequence[Path]) -> dict[Path, str]:
    """Name of the hanging that each folder has the job of, as the reports say."""
    return {path.parent: name for path, name in _from_reports(paths, lambda report: str(report["hanging"]))}


def ignored_in_files(paths: Sequence[Path]) -> list[tuple[str, IgnoredLimits]]:
    """The limits that written jobs ignore, as their reports say; with the hanging's name where there are several."""
    reports = _from_reports(paths, lambda report: (str(report["hanging"]), ignored_limits_in(report)))
    return [(name if len(reports) > 1 else "", ignored) for _, (name, ignored) in reports if ignored]


def notes_in_files(paths: Sequence[Path]) -> list[str]:
    """Returns sentences on missing files and warnings of written jobs, from their reports."""
    from wallwright.window.features.export.hanging_notes import notes_of_reports

    try:
        return notes_of_reports(_from_reports(paths, lambda report: report))
    except (LookupError, TypeError):
        logging.getLogger("wallwright").exception("the checks of a report cannot be read")
        return []


def _from_reports(paths: Sequence[Path], read: Callable[[dict[str, Any]], T]) -> list[tuple[Path, T]]:
    """What is read from the reports of hangings among files; damaged ones are left out and logged."""
    found = []
    for path in paths:
        if path.suffix == ".json" and path.name != WALL_REPORT:
            try:
                found.append((path, read(json.loads(path.read_bytes()))))
            except (OSError, ValueError, LookupError, TypeError):
                logging.getLogger("wallwright").exception("the report %s cannot be read", path)
    return found
