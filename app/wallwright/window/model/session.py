"""The model of one window: document, history, selection, and what planning has answered. No widgets."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from wallwright.document import edits
from wallwright.document.consistency import validate
from wallwright.document.continuation import Continuation
from wallwright.document.document import Document, Placement
from wallwright.document.errors import BadValue
from wallwright.document.file_state import FileState
from wallwright.document.language import tr
from wallwright.document.plan_input import same_plan_input
from wallwright.jobs.checks import Verdict
from wallwright.planning.file_reading import ArtworkSource
from wallwright.planning.plan import (
    EVERY,
    Goal,
    PlacementReport,
    Plan,
    Progress,
    Request,
    Response,
    StrokePreview,
)
from wallwright.planning.planner import Planner
from wallwright.window.model import selection
from wallwright.window.model.artwork_import import ArtworkImport
from wallwright.window.model.history import History

if TYPE_CHECKING:
    from wallwright.strokes.order import OrderSaving

PLAN_AFTER_MS = 350
"""Pause after an edit before planning starts by itself: shorter than a person waits, longer than between two keys."""


class Session(QObject):
    """State that widgets show, and the ways to change it. Signals say what changed; widgets read it afresh."""

    document_changed = Signal()
    selection_changed = Signal()
    hanging_changed = Signal()
    """Another hanging is in hand."""
    preview_changed = Signal()
    plan_changed = Signal()
    """A plan came, or the one there became stale."""
    progress_changed = Signal(str, float)
    """Stage and share done; "" when nothing is planned."""
    search_ended = Signal()
    """The search for the order was ended by hand, and the document says so."""
    rest_answered = Signal(object)
    """Answer to plan_rest: the plan of what is left, or trouble."""
    trouble = Signal(str)
    costly = Signal(str, str)
    """What reading an artwork of the document costs, and its id: the person has not agreed to it."""
    exported = Signal(tuple)
    file_changed = Signal()
    _arrived = Signal()

    def __init__(self, document: Document, planner: Planner | None = None, parent: QObject | None = None):
        super().__init__(parent)
        self.history = History(document)
        self._before = document  # the last change
        self.saved: Document | None = document
        """As it is on disk; None when it is nowhere."""
        self.path: Path | None = None
        self.disk: FileState | None = None
        """The file as it was when it was read or written here; None when that is not known."""
        self.chosen: tuple[str, ...] = (selection.WALL,)
        """Everything selected; names as in the selection module."""
        self.preview: StrokePreview | None = None
        self.preview_document: Document | None = None
        self.plan: Plan | None = None
        self.plan_document: Document | None = None
        self.hanging = 0
        """Number of the hanging in hand: the one that zone, machine, plan and checks are about."""
        self.plans: dict[int, Plan] = {}
        """What is planned of plan_document, by hanging."""
        self.last_trouble = ""
        self.saving: OrderSaving | None = None
        """What putting strokes in order has won so far, while that is under way."""
        self._stage = ""
        self._enough = False
        self.imports = ArtworkImport(self)
        self._request = 0
        self._asked: dict[int, Request] = {}
        self._aside = -1
        """Id of the request for another document than the one shown."""
        self._planner = planner or Planner(self._arrived.emit)
        self._arrived.connect(self._receive)
        self._soon = QTimer(self, singleShot=True, interval=PLAN_AFTER_MS)
        self._soon.timeout.connect(self.plan_now)
        self._watch = QTimer(self, interval=40)
        self._watch.timeout.connect(self._receive)
        self._watch.start()

    # The document.

    @property
    def document(self) -> Document:
        return self.history.present

    @property
    def dirty(self) -> bool:
        return self.document != self.saved

    @property
    def name(self) -> str:
        return self.path.stem if self.path else tr("Untitled")

    def edit(self, title: str, document: Document, merge: str | None = None) -> bool:
        """Applies an edit when it is valid; else says why not and changes nothing."""
        try:
            validate(document)
        except BadValue as trouble:
            self.trouble.emit(f"{trouble}.")
            return False
        self.history.edit(title, document, merge)
        self._after_change()
        return True

    def set_field(self, title: str, path: str, value: object, merge: str | None = None) -> bool:
        """Sets one field of the document, named like "machine.body.mass"."""
        return self.edit(title, edits.set_field(self.document, path, value), merge)

    def undo(self) -> None:
        self.history.undo()
        self._after_change()

    def redo(self) -> None:
        self.history.redo()
        self._after_change()

    def abandon_step(self) -> None:
        """Takes back the edits of the step under way, and forgets them."""
        if self.history.abandon():
            self._after_change()

    def load(
        self, document: Document, path: Path | None, disk: FileState | None = None, is_saved: bool = True
    ) -> None:
        """Shows another document; nothing of the last one stays. disk: the state of its file. is_saved: whether it is what
        is in that file, or no work yet."""
        self.history = History(document)
        self.saved, self.path, self.disk = document if is_saved else None, path, disk
        self.preview = self.plan = self.preview_document = self.plan_document = None
        self.plans, self.hanging = {}, 0
        self.select("wall")
        self.preview_changed.emit()
        self._after_change()
        self.file_changed.emit()

    def mark_saved(self, path: Path, disk: FileState | None = None) -> None:
        self.saved, self.path, self.disk = self.document, path, disk
        self.file_changed.emit()

    def _after_change(self) -> None:
        self.take_in_hand(min(self.hanging, len(self.document.hangings) - 1))
        left = tuple(c for c in self.chosen if selection.exists(self.document, c))
        if left != self.chosen:
            self.select(*left)
        before, self._before = self._before, self.document
        if same_plan := same_plan_input(before, self.document):
            self._go_on_with(before)
        self.document_changed.emit()
        self.plan_changed.emit()
        if not same_plan or not (self.plan_is_final or self.planning):
            self._soon.start()

    def _go_on_with(self, before: Document) -> None:
        """What is known, or being made, of the document before is that of the document as it is now."""
        now = self.document
        self.plan_document = now if self.plan_document is before else self.plan_document
        self.preview_document = now if self.preview_document is before else self.preview_document
        for number, request in self._asked.items():
            if request.document is before:
                self._asked[number] = dataclasses.replace(request, document=now)

    # Selection.

    def select(self, *what: str) -> None:
        """Selects one thing, or several placements; nothing: the wall."""
        chosen = selection.together(what)
        if chosen != self.chosen:
            self.chosen = chosen
            self.history.close_step()
            self.selection_changed.emit()
        kind, _, name = chosen[0].partition(":")
        if kind == "hanging":
            self.take_in_hand(int(name))

    def take_in_hand(self, hanging: int) -> None:
        """Plans and shows another hanging than before."""
        if hanging == self.hanging:
            return
        self.hanging = hanging
        if self.plan_document is self.document:
            self.plan = self.plans.get(hanging)
        self.hanging_changed.emit()
        self.plan_changed.emit()
        if not self.plan_is_final:
            self._soon.start()

    @property
    def selection(self) -> str:
        """The one selected thing, or SEVERAL."""
        return self.chosen[0] if len(self.chosen) == 1 else selection.SEVERAL

    @property
    def placement_id(self) -> str | None:
        """Of the one selected placement."""
        return self.placement_ids[0] if len(self.placement_ids) == 1 else None

    @property
    def placement_ids(self) -> tuple[str, ...]:
        """Of all selected placements."""
        return tuple(c.partition(":")[2] for c in self.chosen if c.startswith("placement:"))

    @property
    def placements(self) -> tuple[Placement, ...]:
        """The selected placements, in the document's order."""
        ids = self.placement_ids
        return tuple(p for p in self.document.placements if p.id in ids)

    def report_of(self, placement: str) -> PlacementReport | None:
        """What reading and composing told about a placement, once they have."""
        reports = self.preview.reports if self.preview is not None else ()
        return next((r for r in reports if r.placement == placement), None)

    # Planning.

    @property
    def plan_is_stale(self) -> bool:
        plan = self.plan
        return plan is None or self.plan_document is not self.document or plan.hanging != self.hanging

    @property
    def plan_is_final(self) -> bool:
        """Whether the plan is fresh and that of the document alone: its strokes have the numbers they have in the job."""
        return not self.plan_is_stale and not self.plan.is_provisional

    @property
    def planning(self) -> bool:
        return self._planner.busy

    @property
    def exportable(self) -> bool:
        return not self.plan_is_stale and all(c.verdict is not Verdict.BAD for c in self.plan.checks)

    def plan_now(self) -> None:
        self._ask(Goal.PLAN)

    def plan_every(self) -> None:
        """Plans all hangings, one after the other."""
        self._ask(Goal.PLAN, every=True)

    def export(self, folder: str, document: Document | None = None, every: bool = False) -> None:
        """Exports the hanging in hand, or every one, or another document made from it, such as a test drawing, without
        showing that."""
        self._ask(Goal.EXPORT, folder, document, every)

    def plan_rest(self, rest: Continuation, folder: str = "") -> None:
        """Plans only what is left of the job, and exports it when there is a folder."""
        self._ask(Goal.EXPORT if folder else Goal.PLAN, folder, rest=rest)

    def cancel(self) -> None:
        """Gives up what is being read and planned."""
        self.imports.cancel()
        self._soon.stop()
        self._planner.cancel()
        self._tell("", 0.0)

    @property
    def searching(self) -> bool:
        """Whether strokes of the document shown are being put in order, and nobody has said yet that it is enough."""
        return self._stage == "order" and not self._enough and self._aside != self._request

    def good_enough(self) -> None:
        """Ends the search for the order; the plan goes on with the best one found, and the document says how far the
        search came, so that the same document gives the same plan."""
        if self.searching:
            self._enough = True
            self._planner.enough()
            self.progress_changed.emit(self._stage, 1.0)

    def _tell(self, stage: str, done: float, saving: OrderSaving | None = None) -> None:
        self._stage, self.saving = stage, saving
        self.progress_changed.emit(stage, done)

    def _ask(
        self, goal: Goal, folder: str = "", document: Document | None = None, every: bool = False,
        rest: Continuation | None = None,
    ) -> None:  # fmt: skip
        self._soon.stop()
        self._request += 1
        hanging = EVERY if every else 0 if document is not None else self.hanging
        aside = document is not None or rest is not None
        request = Request(self._request, document or self.document, goal, hanging, folder, rest=rest, project=self.name,
                          provisional=not aside)  # fmt: skip
        self._aside = self._request if aside else -1
        self._asked = {self._request: request}
        self.last_trouble, self._enough = "", False
        self._planner.submit(request)
        self._tell("read", 0.0)

    def _receive(self) -> None:
        for message in self._planner.poll():
            request = self._asked.get(message.id)
            if request is None:
                continue
            if isinstance(message, Progress):
                self._tell(message.stage, message.done, message.saving)
                continue
            self._take(message, request)

    def _take(self, answer: Response, request: Request) -> None:
        if answer.id == self._aside:
            self._take_aside(answer, request)
            return
        ended = answer.ended_after > 0 and request.document is self.document
        if ended:
            document = edits.set_field(self.document, "settings.order.tries", answer.ended_after)
            self.history.close_step()
            self.history.edit(tr("Good enough"), document)
            request = dataclasses.replace(request, document=document)
            self._asked[answer.id] = request
            self.preview_document = document if self.preview is not None else None
        if answer.preview is not None and answer.preview is not self.preview:
            self.preview, self.preview_document = answer.preview, request.document
            self.preview_changed.emit()
        found = answer.plans or ((answer.plan,) if answer.plan is not None else ())
        if found:
            if request.document is not self.plan_document:
                self.plans = {}
            self.plans |= {plan.hanging: plan for plan in found}
            self.plan, self.plan_document = self.plans.get(self.hanging), request.document
            self.plan_changed.emit()
        if ended:
            self._after_change()
            self._soon.stop()  # the plan is that of the document as it is now
            self.search_ended.emit()
        if answer.final:
            self._tell("", 0.0)
            self.plan_changed.emit()
        if answer.trouble:
            self.last_trouble = answer.trouble
            self.trouble.emit(answer.trouble)
            self.plan_changed.emit()
            if answer.costly and request.document is self.document:
                self.costly.emit(answer.trouble, answer.costly)
        if answer.files:
            self.exported.emit(answer.files)

    def _take_aside(self, answer: Response, request: Request) -> None:
        """Of another document, or of a rest, only files and trouble are told; the plan that it put off is made now."""
        if request.rest is not None and answer.final:
            self.rest_answered.emit(answer)
        bad = [c for c in answer.plan.checks if c.verdict is Verdict.BAD] if answer.plan else []
        trouble = answer.trouble or " ".join(f"{c.title}: {c.text}" for c in bad)
        if trouble and request.rest is None:
            self.trouble.emit(trouble)
        if answer.files:
            self.exported.emit(answer.files)
        if answer.final:
            self._tell("", 0.0)
            if not self.plan_is_final:
                self._soon.start()

    def close(self) -> None:
        """Ends the planner and the reading of files."""
        self._soon.stop()
        self._watch.stop()
        self.imports.close()
        self._planner.close()

    # Bringing artwork.

    def add_files(self, paths: Sequence[Path], centre: tuple[float, float] | None = None) -> None:
        """Brings artwork files onto the wall; they are read beside the window. Says why when one cannot be read."""
        self.imports.add([ArtworkSource.file(path) for path in paths], centre)

    @property
    def reading(self) -> bool:
        """Whether a file is being read."""
        return self.imports.is_busy
