"""Requests to the planner and its answers, for one window. No widgets.

The planner's threads announce each answer by a signal that Qt queues for the GUI thread; nothing is polled. A timer runs
only during a cancellation, after which a worker that does not stop is replaced.
"""

from __future__ import annotations

import dataclasses
import math
import time
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer, Signal

from wallwright.document import edits
from wallwright.document.continuation import Continuation
from wallwright.document.document import Document
from wallwright.document.language import tr
from wallwright.document.plan_input import same_plan_input
from wallwright.jobs.checks import Verdict
from wallwright.planning.plan import BESIDE_PLAN, EVERY, Goal, Progress, Request, Response
from wallwright.planning.planner import Planner
from wallwright.window.model.known_plan import KnownPlan
from wallwright.window.model.messages import Messages
from wallwright.window.model.project_model import ProjectModel
from wallwright.window.model.selection_model import SelectionModel

if TYPE_CHECKING:
    from wallwright.strokes.order import OrderSaving

PLAN_AFTER_MS = 350
"""Delay between an edit and planning, ms: longer than between two keystrokes, but not noticed as waiting."""


class PlanningClient(KnownPlan):
    """Preview and plan of the document as far as known, updated automatically after edits."""

    preview_changed = Signal()
    plan_changed = Signal()
    """A plan arrived or became stale."""
    progress_changed = Signal(str, float)
    """Stage and share done; "" if nothing is being planned."""
    search_ended = Signal()
    """The person ended the search for the order, which the document records."""
    continuation_answered = Signal(object)
    """Response to plan_continuation: the plan of the remaining job, or a failure."""
    costly = Signal(str, str)
    """An artwork exceeds the limits without consent: its cost, as a sentence, and its id."""
    cannot_start = Signal(str)
    """The machine cannot hang at the starting point: a sentence."""
    exported = Signal(tuple)
    """Paths of the written files."""
    sheet_painted = Signal(tuple, str)
    """Pages of the hanging sheet, PNG; or none, and a sentence with the reason."""
    sampled = Signal(object)
    """A StyleSample; None after the last one."""
    shorter_found = Signal(object)
    """Response to find_shorter: one option each; the last one has none, or a failure."""
    unseen_changed = Signal()
    """Unseen artwork changed, or a picture of it arrived."""
    _arrived = Signal()

    def __init__(
        self,
        project: ProjectModel,
        selection: SelectionModel,
        messages: Messages,
        planner: Planner | None = None,
    ) -> None:
        super().__init__(project, selection)
        self._messages = messages
        self._before = project.document  # before the last change
        self.saving: OrderSaving | None = None
        """Savings of the running search for the order so far."""
        self._stage = ""
        self._is_search_ended = False
        self._request = 0
        self._asked: dict[int, Request] = {}
        self._aside = -1
        """Id of the request for a document other than the one shown."""
        self._last_of_others = 0
        """Id of the last request for an earlier project."""
        self.exported_files: tuple[str, ...] = ()
        """Absolute paths of the files of this project's last job export."""
        self.unseen: tuple[str, ...] = ()
        """Ids of placements being read, without ink on screen yet."""
        self.pictures: dict[str, bytes] = {}
        """Pictures of unseen placements, PNG, by id."""
        self._arrived.connect(self.receive, Qt.ConnectionType.QueuedConnection)
        self._planner = planner or Planner()
        self._planner.notify = self._arrived.emit
        self._soon = QTimer(self, singleShot=True, interval=PLAN_AFTER_MS)
        self._soon.timeout.connect(self.plan_now)
        self._deadline = QTimer(self, singleShot=True, timerType=Qt.TimerType.PreciseTimer)  # others may fire early
        self._deadline.timeout.connect(self.receive)
        project.loaded.connect(self._forget)
        project.changed.connect(self._follow_document)
        selection.hanging_changed.connect(self._follow_hanging)

    @property
    def is_planning(self) -> bool:
        """Whether a plan is pending; pictures do not count."""
        return self._planner.busy and not self._paints

    @property
    def is_plan_under_way(self) -> bool:
        """Whether a plan is pending, or will be requested soon."""
        return self.is_planning or self._soon.isActive()

    @property
    def is_searching(self) -> bool:
        """Whether the search for the order is running for the shown document, and has not been ended."""
        return self._stage == "order" and not self._is_search_ended and self._aside != self._request

    # Requests.

    def start_worker(self) -> None:
        """Starts the planning process, which otherwise the first request does."""
        self._planner.start()

    def plan_now(self) -> None:
        """Plans the current hanging."""
        self._ask(Goal.PLAN)

    def plan_every(self) -> None:
        """Plans all hangings, one after the other."""
        self._ask(Goal.PLAN, every=True)

    def export(self, folder: str, document: Document | None = None, every: bool = False) -> None:
        """Exports the current hanging, or every one, or a document derived from it, such as a test drawing, without showing
        that."""
        self._ask(Goal.EXPORT, folder, document, every)

    def plan_continuation(self, rest: Continuation, folder: str = "") -> None:
        """Plans only the remaining job, and exports it if a folder is given."""
        self._ask(Goal.EXPORT if folder else Goal.PLAN, folder, rest=rest)

    def paint_sheet(self) -> bool:
        """Requests pages of the current hanging's sheet as its export would write it; returns whether the request was made.
        Needs a known plan; dropped when other planning begins."""
        return self.plan_is_final and self._paint(Goal.SHEET)

    def find_shorter(self) -> bool:
        """Requests ways to shorten the current hanging's job; returns whether the request was made. Needs a known plan;
        dropped when other planning begins."""
        return self.plan_is_final and self._paint(Goal.SHORTER)

    def sample_styles(self, placement: str, styles: tuple[str, ...] = ()) -> bool:
        """Requests samples of line styles, in this order, or of all, on a small copy of a placement's picture; returns
        whether the request was made. Only while nothing is being planned."""
        return self._paint(Goal.SAMPLES, placement, styles)

    @property
    def is_sampling(self) -> bool:
        """Whether samples are pending."""
        return self._planner.busy and any(request.goal is Goal.SAMPLES for request in self._asked.values())

    def _paint(self, goal: Goal, placement: str = "", styles: tuple[str, ...] = ()) -> bool:
        """Requests pictures unless a plan is pending."""
        if self.is_plan_under_way:
            return False
        self._request += 1
        request = Request(
            self._request,
            self._project.document,
            goal,
            self._selection.hanging,
            project=self._project.name,
            placement=placement,
            styles=styles,
        )
        self._asked = {self._request: request}
        self._planner.submit(request)
        self._await_deadline()
        self._report("", 0.0)
        return True

    @property
    def _paints(self) -> bool:
        """Whether the last request was for pictures only."""
        return any(request.goal in BESIDE_PLAN for request in self._asked.values())

    def cancel(self) -> None:
        """Cancels planning."""
        self._soon.stop()
        self._planner.cancel()
        self._await_deadline()
        self._report("", 0.0)

    def end_search(self) -> None:
        """Ends the search for the order. The plan continues with the best one found, and the document records the number of
        changes tried, so that the same document gives the same plan."""
        if self.is_searching:
            self._is_search_ended = True
            self._planner.enough()
            self.progress_changed.emit(self._stage, 1.0)

    def close(self) -> None:
        """Ends the planner."""
        self._soon.stop()
        self._deadline.stop()
        self._planner.notify = None
        self._planner.close()

    def _ask(
        self,
        goal: Goal,
        folder: str = "",
        document: Document | None = None,
        every: bool = False,
        rest: Continuation | None = None,
    ) -> None:
        self._soon.stop()
        self._request += 1
        hanging = EVERY if every else 0 if document is not None else self._selection.hanging
        is_aside = document is not None or rest is not None
        request = Request(
            self._request,
            document or self._project.document,
            goal,
            hanging,
            folder,
            rest=rest,
            project=self._project.name,
            provisional=not is_aside,
            unseen=() if is_aside else self._new_placements(),
        )
        self._await_ink(request.unseen)
        self._aside = self._request if is_aside else -1
        self._asked = {self._request: request}
        self._is_search_ended = False
        self._planner.submit(request)
        self._await_deadline()
        self._report("read", 0.0)

    # Answers.

    def _await_deadline(self) -> None:
        """Replaces a worker that has not stopped by the deadline."""
        deadline = self._planner.deadline
        if deadline is None:
            self._deadline.stop()
        else:
            self._deadline.start(max(0, math.ceil(1000 * (deadline - time.monotonic()))))

    def receive(self) -> None:
        """Handles the planner's answers."""
        for message in self._planner.poll():
            request = self._asked.get(message.id)
            if request is None:
                continue
            if request.goal in BESIDE_PLAN:
                self._take_picture(message, request)
            elif isinstance(message, Progress):
                self._report(message.stage, message.done, message.saving)
            elif message.id == self._aside:
                self._take_aside(message, request)
            else:
                self._take(message, request)
        self._await_deadline()

    def _take_picture(self, answer: Progress | Response, request: Request) -> None:
        if isinstance(answer, Progress):
            return  # no plan was requested
        if request.goal is Goal.SAMPLES:
            self.sampled.emit(answer.sample)
        elif request.goal is Goal.SHORTER:
            self.shorter_found.emit(answer)
        elif answer.final:
            self.sheet_painted.emit(answer.pages, answer.trouble)

    def _new_placements(self) -> tuple[str, ...]:
        """Returns visible placements without ink on screen."""
        shown = {p.id for p in self.preview_document.placements if p.visible} if self.preview_document else set()
        return tuple(p.id for p in self._project.document.placements if p.visible and p.id not in shown)

    def _await_ink(self, unseen: tuple[str, ...]) -> None:
        if unseen != self.unseen:
            self.unseen = unseen
            self.pictures = {name: data for name, data in self.pictures.items() if name in unseen}
            self.unseen_changed.emit()

    def _report(self, stage: str, done: float, saving: OrderSaving | None = None) -> None:
        self._stage, self.saving = stage, saving
        self.progress_changed.emit(stage, done)

    def _take(self, answer: Response, request: Request) -> None:
        is_ended = answer.ended_after > 0 and request.document is self._project.document
        if is_ended:
            document = edits.set_field(self._project.document, "settings.order.tries", answer.ended_after)
            request = dataclasses.replace(request, document=document)
            self._asked[answer.id] = request
            self.preview_document = document if self.preview is not None else None
        has_preview = answer.preview is not None and answer.preview is not self.preview
        if answer.pictures:
            self.pictures |= answer.pictures
            self.unseen_changed.emit()
        if has_preview or answer.final:
            self._await_ink(())
        if has_preview:
            self.preview, self.preview_document = answer.preview, request.document
        found = answer.plans or ((answer.plan,) if answer.plan is not None else ())
        if found:
            if request.document is not self.plan_document:
                self.plans = {}
            self.plans |= {plan.hanging: plan for plan in found}
            self.plan, self.plan_document = self.plans.get(self._selection.hanging), request.document
        if is_ended:
            self._project.edit(tr("Stop searching, use this order"), request.document)
            self._soon.stop()  # the plan is of the present document
        if has_preview:
            self.preview_changed.emit()
        if found:
            self.plan_changed.emit()
        if is_ended:
            self.search_ended.emit()
        if answer.final:
            self._report("", 0.0)
            self.plan_changed.emit()
        if answer.trouble:
            if answer.start_is_unreachable and request.document is self._project.document:
                self.cannot_start.emit(answer.trouble)
            elif self._is_of_project(request):
                self._messages.say(answer.trouble)
            self.plan_changed.emit()
            if answer.costly and request.document is self._project.document:
                self.costly.emit(answer.trouble, answer.costly)
        if answer.files and self._is_of_project(request):
            self.exported_files = answer.files
            self.exported.emit(answer.files)

    def _is_of_project(self, request: Request) -> bool:
        """Whether the result of a request is reported: not if another project was shown after an export was requested."""
        return request.goal is not Goal.EXPORT or request.id > self._last_of_others

    def _take_aside(self, answer: Response, request: Request) -> None:
        """Reports files and failures of another document or a continued job, and requests the postponed plan."""
        if request.rest is not None and answer.final:
            self.continuation_answered.emit(answer)
        bad = [c for c in answer.plan.checks if c.verdict is Verdict.ERROR] if answer.plan else []
        trouble = answer.trouble or " ".join(f"{c.title}: {c.text}" for c in bad)
        if trouble and request.rest is None and self._is_of_project(request):
            self._messages.say(trouble)
        if answer.files and self._is_of_project(request):
            self.exported.emit(answer.files)
        if answer.final:
            self._report("", 0.0)
            if not self.plan_is_final:
                self._soon.start()

    # Changes of other models.

    def _forget(self) -> None:
        self.preview = self.plan = self.preview_document = self.plan_document = None
        self.plans, self._last_of_others = {}, self._request
        self.exported_files = ()
        self._await_ink(())
        self.preview_changed.emit()

    def _follow_hanging(self) -> None:
        if self.plan_document is self._project.document:
            self.plan = self.plans.get(self._selection.hanging)
        if not self.plan_is_final:
            self._soon.start()
        self.plan_changed.emit()

    def _follow_document(self) -> None:
        before, self._before = self._before, self._project.document
        is_same = same_plan_input(before, self._project.document)
        if is_same:
            self._keep_for_document(before)
        if not is_same or not (self.plan_is_final or self.is_planning):
            self._soon.start()  # before others follow the change: they request pictures if no plan is pending
        self.plan_changed.emit()

    def _keep_for_document(self, before: Document) -> None:
        """Takes the known or pending plan of the previous document over for the present one."""
        now = self._project.document
        self.plan_document = now if self.plan_document is before else self.plan_document
        self.preview_document = now if self.preview_document is before else self.preview_document
        for number, request in self._asked.items():
            if request.document is before:
                self._asked[number] = dataclasses.replace(request, document=now)
