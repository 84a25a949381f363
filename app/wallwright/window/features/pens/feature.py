"""What can be done with the pens of a project besides typing their numbers."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from wallwright.document import edits, edits_pens
from wallwright.document.document import Document, Pen
from wallwright.document.errors import UserError
from wallwright.document.language import tr
from wallwright.document.saved_presets import read_presets, write_presets
from wallwright.window.model.items import PenItem
from wallwright.window.model.models import Models

if TYPE_CHECKING:
    from wallwright.window.features.pens.reading_page import MeasurePage


class PensFeature:
    """Of one window."""

    def __init__(self, models: Models, parent: QWidget) -> None:
        self._models, self._parent = models, parent

    # Order.

    @property
    def selected(self) -> Pen | None:
        """The selected pen."""
        item = self._models.selection.item
        return self._models.project.document.pen(item.pen) if isinstance(item, PenItem) else None

    def can_move(self, by: int) -> bool:
        """Whether the selected pen can draw so many places later."""
        pens, pen = self._models.project.document.pens, self.selected
        return pen is not None and 0 <= pens.index(pen) + by < len(pens)

    def move(self, by: int) -> None:
        """Lets the selected pen draw so many places later; earlier where that is negative."""
        pens, pen = self._models.project.document.pens, self.selected
        if pen is not None:
            self.move_to(pen.id, pens.index(pen) + by)

    def move_to(self, pen: str, place: int) -> None:
        """Puts a pen at a place of the list, from 0."""
        document = self._models.project.document
        self._edit(tr("Change the order of pens"), lambda: edits_pens.move_pen(document, pen, place))

    def order_light_to_dark(self) -> None:
        """Puts the pens in the proposed order, and says why."""
        from wallwright.planning.pen_order import light_to_dark  # slow to import

        document = self._models.project.document
        ordered = edits_pens.in_order(document, light_to_dark(document))
        names = ", ".join(pen.name for pen in ordered.pens)
        reason = tr("A light tip that crosses dark ink takes it up; a dark one covers light ink.")
        if ordered.pens == document.pens:
            self._models.messages.say(tr("The pens already draw from light to dark: {0}. {1}", names, reason))
        else:
            self._models.project.edit(tr("Order pens from light to dark"), ordered)
            self._models.messages.say(tr("The pens now draw from light to dark: {0}. {1}", names, reason))

    def order_for_dry_ink(self, compute: Callable[[str, Callable[[Document], Document]], None]) -> None:
        """Puts the pens in the order that leaves most time for ink to dry. compute: does a slow edit beside the window."""
        from wallwright.planning.pen_order import order_for_dry_ink

        plan = self._models.planning.fresh_plan
        if plan is not None:
            title = tr("Order pens so that ink dries")
            compute(title, lambda document: order_for_dry_ink(document, plan.strokes, plan.motion))

    def keep_colours_apart(self) -> None:
        """At least the usual gap between areas of different colours."""
        self._edit(tr("Gap between colours"), lambda: edits_pens.with_gaps(self._models.project.document))

    # Saved pens.

    def save(self) -> None:
        """Saves the selected pen for other projects."""
        pen = self.selected
        if pen is None:
            return

        def keep() -> None:
            write_presets(read_presets().with_pen(pen))
            self._models.messages.say(
                tr("“{0}” is saved. “Pens › Add saved pens” offers it in other projects.", pen.name)
            )

        self._try(keep)

    def add_saved(self) -> None:
        """Lists the saved pens and adds those that are chosen."""
        from wallwright.window.features.pens.saved_dialog import SavedPensDialog

        def choose() -> None:
            dialog = SavedPensDialog(read_presets(), self._parent)
            accepted = dialog.exec()
            if dialog.kept != dialog.saved:
                write_presets(dialog.kept)
            if accepted:
                document = self._models.project.document
                for pen in dialog.chosen:
                    document = edits_pens.add_saved_pen(document, pen)
                if self._models.project.edit(tr("Add saved pens"), document):
                    self._models.selection.select(PenItem(document.pens[-1].id))
            dialog.deleteLater()

        self._try(choose)

    # Ink.

    def refill(self) -> None:
        """The selected pen is full again."""
        document, pen = self._models.project.document, self.selected
        if pen is not None:
            self._edit(tr("Refill a pen"), lambda: edits_pens.refill_pen(document, pen.id))

    def count_ink(self) -> None:
        """The planned job is drawn: its ink counts as used."""
        from wallwright.motion.refills import with_ink_of

        document, plan = self._models.project.document, self._models.planning.fresh_plan
        if plan is None:
            return
        counted = edits.replace(document, pens=with_ink_of(document.pens, plan.strokes))
        if not self._models.project.edit(tr("Count the ink as used"), counted):
            return
        drawing = {block.pen for block in plan.motion.blocks}
        texts = [ink_text(counted.pens[k]) for k in sorted(drawing)]
        self._models.messages.say(tr("Ink counted as used: {0}.", "; ".join(texts)))

    # Measuring.

    def measure(self, page: MeasurePage | None = None) -> None:
        """Offset figure, sample strip and friction figure: their files to draw, and what was read of them. page: which is
        shown first; None: the first that this document has a use for."""
        from wallwright.window.features.pens.measure_dialog import MeasurePensDialog

        pen = self.selected
        dialog = MeasurePensDialog(self._models, self._parent, pen.id if pen is not None else "", page)
        dialog.exec()
        dialog.deleteLater()

    def _edit(self, title: str, edit: Callable[[], Document]) -> None:
        self._try(lambda: self._models.project.edit(title, edit()))

    def _try(self, deed: Callable[[], object]) -> None:
        try:
            deed()
        except UserError as trouble:
            self._models.messages.say(str(trouble).rstrip(".") + ".")


def ink_text(pen: Pen) -> str:
    """How much of a pen's ink is used, and left where that is known."""
    if pen.ink:
        return tr("{0}: {1:.1f} m used, {2:.1f} m left", pen.name, pen.used, max(pen.ink - pen.used, 0.0))
    return tr("{0}: {1:.1f} m used", pen.name, pen.used)
