"""Edits of actions and remedies that need more than one call; each is one undo step."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from wallwright.document import (
    edits,
    edits_arrangement,
    edits_guide_lines,
    edits_hangings,
    edits_keep_outs,
    edits_photo,
)
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.window.canvas.canvas import Canvas
from wallwright.window.canvas.keep_out_tool import KeepOutTool
from wallwright.window.features.start.feature import StartFeature
from wallwright.window.model import colour_pens
from wallwright.window.model.background_work import BackgroundWork
from wallwright.window.model.items import (
    GuideLineItem,
    HangingItem,
    KeepOutItem,
    PenItem,
    PhotoItem,
    PlacementItem,
)
from wallwright.window.model.messages import Offer
from wallwright.window.model.models import Models

if TYPE_CHECKING:
    from wallwright.planning.drawn_parts import Parts

EYE_LEVEL = 1500.0
"""Eye level at which pictures hang, mm above the floor (common practice, no source)."""


class RemedyWorker(BackgroundWork):
    """Computes a new document in the background, since the search for a position or for anchors takes a second. Read `after`
    or `trouble` when it has finished."""

    def __init__(self, title: str, function: Callable[[Document], Document], before: Document, parent: QObject) -> None:
        super().__init__(parent)
        self.title, self.before = title, before
        self.after: Document | None = None
        self._function = function

    def work(self) -> None:
        self.after = self._function(self.before)


class EditCommands(QObject):
    """Edit commands of one window."""

    def __init__(self, models: Models, canvas: Canvas, start: StartFeature, parent: QWidget) -> None:
        super().__init__(parent)
        self.models, self._canvas, self._start = models, canvas, start
        models.planning.cannot_start.connect(self._offer_to_move_start)
        self._worker: RemedyWorker | None = None
        self._offer: Offer | None = None
        self.more_hangings = Offer(
            tr("Add hangings to cover the artwork"),
            tr("Proposes the hangings that are missing to cover the artwork. Hangings that exist stay where they are."),
            self.hang_as_often,
        )

    def compute(self, title: str, function: Callable[[Document], Document], offer: Offer | None = None) -> None:
        """Computes a slow edit in the background, one at a time. offer: what helps if it finds nothing."""
        if self._worker is None:
            self._offer = offer
            self._worker = RemedyWorker(title, function, self.models.project.document, self)
            self._worker.finished.connect(self._take_computed)
            self.models.messages.remark(tr("{0}…", title), 0)
            self._worker.start()

    def fill_zone(self) -> None:
        """Scales the selected artwork, or all that is shown, to the largest size in the current hanging's draw zone."""
        from wallwright.window.model.remedies import as_large_as_fits  # imported on use, for a faster start

        selection, document = self.models.selection, self.models.project.document
        ids, parts = selection.placement_ids or tuple(p.id for p in document.placements), self.drawn_parts()
        self.compute(tr("Fit to draw zone"), lambda before: as_large_as_fits(before, ids, parts))

    def shrink(self) -> None:
        """Shrinks all shown artwork as little as needed for the draw zones of all hangings."""
        from wallwright.window.model.remedies import shrunk

        parts = self.drawn_parts()
        self.compute(tr("Shrink to fit"), lambda before: shrunk(before, parts))

    def move_in(self) -> None:
        """Moves the artwork outside the draw zone as its check proposes; all artwork without such a check."""
        from wallwright.window.model.remedies import moved_as_offered, moved_in

        plan, document = self.models.planning.plan, self.models.project.document
        checks = plan.checks if plan is not None and not self.models.planning.plan_is_stale else ()
        move = next((check.move for check in checks if check.move is not None), None)
        if move is None:
            parts = self.drawn_parts()
            self.compute(tr("Move in"), lambda before: moved_in(before, parts))
        elif self.models.project.edit(tr("Move in"), moved_as_offered(document, move)):
            self._canvas.fit()

    def advise_anchors(self) -> None:
        """Moves the anchors for the largest reserve of all shown artwork; offers several hangings if no anchors work."""
        from wallwright.window.model.remedies import anchors_advised

        self.compute(tr("Better anchors"), anchors_advised, self.more_hangings)

    def drawn_parts(self) -> Parts:
        """Returns the drawn parts of the artworks' pages, as far as known from the last plan."""
        return self.models.planning.drawn_parts()

    def _offer_to_move_start(self, sentence: str) -> None:
        help = tr(
            "Moves the starting point, no farther than needed, to where the machine can start, clear of the ink if possible."
        )
        offer = Offer(tr("Move it into the draw zone"), help, self.move_start_in)
        self.models.messages.say_with_offer(sentence, offer)

    def move_start_in(self) -> None:
        """Moves the starting point of the current hanging into its draw zone."""
        from wallwright.window.model.remedies import start_moved_in

        number, parts = self.models.selection.hanging, self.drawn_parts()
        self.compute(tr("Move the starting point in"), lambda before: start_moved_in(before, number, parts))

    def _take_computed(self) -> None:
        worker, self._worker = self._worker, None
        if worker is None:
            return
        self.models.messages.remark("")
        if worker.trouble and self._offer is not None:
            self.models.messages.say_with_offer(worker.trouble, self._offer)
        elif worker.trouble:
            self.models.messages.say(worker.trouble)
        elif worker.after is not None and worker.before is self.models.project.document:
            self.models.project.edit(worker.title, worker.after)
            self._canvas.fit()
        # else the document has changed meanwhile, and the result is outdated
        worker.deleteLater()

    def duplicate(self) -> None:
        """Duplicates the selected artwork or hanging."""
        item = self.models.selection.item
        if isinstance(item, HangingItem):
            number = item.number
            self._hang(tr("Duplicate a hanging"), lambda d: edits_hangings.duplicate_hanging(d, number))
            return
        document, ids = edits_arrangement.duplicate_placements(
            self.models.project.document, self.models.selection.placement_ids
        )
        if ids and self.models.project.edit(tr("Duplicate"), document):
            self.models.selection.select(*(PlacementItem(i) for i in ids))

    def select_all(self) -> None:
        """Selects every artwork that is shown."""
        self.models.selection.select(
            *(PlacementItem(p.id) for p in self.models.project.document.placements if p.visible)
        )

    def arrange(self, title: str, edit: Callable[..., Document], *values: object, **named: object) -> None:
        """Applies edit(document, ids, ...) to the selected artworks."""
        document, ids = self.models.project.document, self.models.selection.placement_ids
        self.models.project.edit(tr(title), edit(document, ids, *values, **named))

    def toggle_locked(self) -> None:
        """Locks the selected artworks, or unlocks them if all are locked."""
        locked = not all(p.locked for p in self.models.selection.placements)
        title = tr("Lock") if locked else tr("Unlock")
        self.arrange(title, edits_arrangement.set_placements, locked=locked)

    def toggle_visible(self) -> None:
        """Hides the selected artworks, or shows them when all are hidden."""
        visible = not any(p.visible for p in self.models.selection.placements)
        self.arrange(tr("Show") if visible else tr("Hide"), edits_arrangement.set_placements, visible=visible)

    def remove(self) -> None:
        """Removes the selected items from the document."""
        document = self.models.project.document
        try:
            match self.models.selection.item:
                case PenItem(pen):
                    self.models.project.edit(tr("Remove a pen"), edits.remove_pen(document, pen))
                case HangingItem(number):
                    removed = edits_hangings.remove_hanging(document, number)
                    self.models.project.edit(tr("Remove a hanging"), removed)
                case KeepOutItem(number):
                    removed = edits_keep_outs.remove_keep_out(document, number)
                    self.models.project.edit(tr("Remove a keep-out"), removed)
                case GuideLineItem(number):
                    removed = edits_guide_lines.remove_guide_line(document, number)
                    self.models.project.edit(tr("Remove a guide line"), removed)
                case PhotoItem():
                    self.models.project.edit(tr("Remove the photo"), edits_photo.remove_photo(document))
                case _ if self.models.selection.placement_ids:
                    self.arrange(tr("Remove"), edits_arrangement.remove_placements)
        except BadValue as error:
            self.models.messages.say(f"{error}.")

    def select_next_hanging(self) -> None:
        """Makes the next hanging the current one and selects it."""
        count = len(self.models.project.document.hangings)
        self.models.selection.select(HangingItem((self.models.selection.hanging + 1) % count))

    def hang_beside(self, to_right: bool) -> None:
        """Adds a hanging beside the outermost one, where both zones meet over the artwork's height."""
        from wallwright.planning.hanging_proposal import propose_beside

        found = propose_beside(self.models.project.document, to_right)
        if self._hang(tr("Add a hanging"), lambda d: edits_hangings.add_hanging(d, *found.places[0])) and found.warning:
            self.models.messages.say(found.warning)

    def hang_as_often(self) -> None:
        """Proposes additional hangings to cover the artwork, or new ones for all of it, for the person to choose."""
        from wallwright.planning.hanging_proposal import completing, is_better_anew, propose_covering
        from wallwright.planning.proposed_places import with_starts_clear_of_ink
        from wallwright.window.features.hanging_question import ask_about_hangings

        models, before, parts = self.models, self.models.project.document, self.drawn_parts()
        missing = completing(before, parts)
        if missing.is_covered:
            models.messages.say(tr("The hangings that exist cover the artwork."))
            return
        anew = propose_covering(before, models.selection.hanging, parts)
        if not missing.places and not is_better_anew(before, anew):
            if any(p.visible for p in before.placements):
                help = tr("Shrinks all shown artwork together, no more than needed, and moves it into the draw zone.")
                models.messages.say_with_offer(missing.warning, Offer(tr("Shrink to fit"), help, self.shrink))
            else:
                models.messages.say(missing.warning)
            return
        decided = ask_about_hangings(self._canvas.window(), before, missing, anew, parts)
        if decided is None:
            return
        document, first = decided
        document = with_starts_clear_of_ink(document, range(first, len(document.hangings)), parts)
        if models.project.edit(tr("Add hangings to cover the artwork"), document):
            models.selection.select(HangingItem(first))
            self._canvas.fit()

    def _hang(self, title: str, edit: Callable[[Document], Document]) -> bool:
        """Adds a hanging and selects it."""
        try:
            document = edit(self.models.project.document)
        except BadValue as error:
            self.models.messages.say(f"{error}.")
            return False
        done = self.models.project.edit(title, document)
        if done:
            self.models.selection.select(HangingItem(len(document.hangings) - 1))
        return done

    def add_pen(self) -> None:
        """Adds a pen for the most used colour without one."""
        document, pen = colour_pens.with_one_more(self.models.project.document, self.models.planning.preview)
        if self.models.project.edit(tr("Add a pen"), document):
            self.models.selection.select(PenItem(pen.id))

    def pens_for_colours(self) -> None:
        """Adds a pen for each colour of the artwork that is not close to any pen."""
        document = self.models.project.document
        new = colour_pens.with_pens_for(document, colour_pens.seen_colours(self.models.planning.preview))
        if new is document:
            self.models.messages.say(tr("Every colour of the artwork has a pen that comes close."))
        else:
            self.models.project.edit(tr("Pens for the colours"), new)

    def add_guide_line(self, is_vertical: bool) -> None:
        """Adds a vertical guide line in the middle of the wall, or a horizontal one at eye level."""
        wall = self.models.project.document.wall
        at = wall.left + wall.width / 2 if is_vertical else wall.floor - min(EYE_LEVEL, wall.height / 2)
        document = edits_guide_lines.add_guide_line(self.models.project.document, is_vertical, round(at))
        if self.models.project.edit(tr("Add a guide line"), document):
            self.models.selection.select(GuideLineItem(len(document.guide_lines) - 1))

    def add_keep_out(self) -> None:
        document, wall = self.models.project.document, self.models.project.document.wall
        x, y = wall.left + wall.width / 2, wall.top + 0.8 * wall.height
        outline = edits_keep_outs.rectangle((x - 200, y - 200), (x + 200, y + 200))
        document = edits_keep_outs.add_keep_out(document, tr("Keep-out"), outline)
        self.models.project.edit(tr("Add a keep-out"), document)
        self.models.selection.select(KeepOutItem(len(document.wall.keep_outs) - 1))

    def draw_keep_out(self) -> None:
        """Activates the tool that draws a keep-out."""
        self._start.show_wall()
        self._canvas.use_tool(KeepOutTool(self._canvas))

    def abandon(self) -> None:
        """Drops the background computation."""
        if self._worker is not None:
            self._worker.abandon()
