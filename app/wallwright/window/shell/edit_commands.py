"""The edits behind actions and remedies that need more than one call: each ends in one step of undo."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from wallwright.document import (
    edits,
    edits_arrangement,
    edits_guide_lines,
    edits_hangings,
    edits_keep_outs,
    edits_photo,
    edits_register,
)
from wallwright.document.document import Document
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.window.model import colour_pens, remedies
from wallwright.window.model.remedy_worker import RemedyWorker

if TYPE_CHECKING:
    from wallwright.window.shell.main_window import MainWindow

EYES = 1500.0
"""mm above the floor at which pictures hang (common practice, no source)."""


class EditCommands(QObject):
    """The editing side of one window."""

    def __init__(self, window: MainWindow) -> None:
        super().__init__(window)
        self.window, self.session = window, window.session
        self._mending: RemedyWorker | None = None

    def mend(self, remedy: str) -> None:
        """Carries out a remedy of a check; what takes long is computed beside the window."""
        if remedy == "calibrate":
            self.window.calibrate()
            return
        if remedy == "line-up":
            self.window.line_up()
            return
        if remedy == "hang-as-often":
            self.hang_as_often()
            return
        if remedy in ("go-on", "forget-stop"):
            self.window.going_on.open() if remedy == "go-on" else self.window.going_on.forget()
            return
        long = {
            "move-in": (tr("Move in"), remedies.moved_in),
            "shrink": (tr("Shrink to fit"), remedies.shrunk),
            "advise-anchors": (tr("Better anchors"), remedies.anchors_advised),
            "fill-zone": (tr("As large as fits"), self._largest()),
        }
        if remedy not in long:
            title = tr("Clip to the draw zone") if remedy == "clip" else tr("Draw all the same")
            self.session.set_field(title, "settings.outside", remedy)
        elif self._mending is None:
            title, function = long[remedy]
            self._mending = RemedyWorker(title, function, self.session.document, self)
            self._mending.finished.connect(self._mended)
            self.window.statusBar().showMessage(tr("{0} …", title))
            self._mending.start()

    def _largest(self) -> Callable[[Document], Document]:
        """Makes the selected artwork, or all that is drawn, as large as the zone of the hanging in hand takes."""
        ids = self.session.placement_ids or [p.id for p in self.session.document.placements]
        hanging = self.session.hanging
        return lambda document: remedies.as_large_as_fits(document, ids, hanging)

    def _mended(self) -> None:
        mending, self._mending = self._mending, None
        self.window.statusBar().clearMessage()
        if mending.trouble:
            self.window.say(mending.trouble)
        elif (
            mending.before is self.session.document
        ):  # else the person has gone on, and it answers an old question
            self.session.edit(mending.title, mending.after)
            self.window.canvas.fit()
        mending.deleteLater()

    def duplicate(self) -> None:
        kind, _, number = self.session.selection.partition(":")
        if kind == "hanging":
            self._hang(tr("Duplicate a hanging"), lambda d: edits_hangings.duplicate_hanging(d, int(number)))
            return
        document, ids = edits_arrangement.duplicate_placements(
            self.session.document, self.session.placement_ids
        )
        if ids and self.session.edit(tr("Duplicate"), document):
            self.session.select(*(f"placement:{i}" for i in ids))

    def select_all(self) -> None:
        """Selects every artwork that is drawn."""
        self.session.select(*(f"placement:{p.id}" for p in self.session.document.placements if p.visible))

    def arrange(self, title: str, edit: Callable[..., Document], *values: object, **named: object) -> None:
        """An edit of the selected artworks: edit(document, ids, ...)."""
        document, ids = self.session.document, self.session.placement_ids
        self.session.edit(tr(title), edit(document, ids, *values, **named))

    def toggle_locked(self) -> None:
        """Locks the selected artworks, or frees them when all are locked."""
        locked = not all(p.locked for p in self.session.placements)
        title = tr("Lock") if locked else tr("Unlock")
        self.arrange(title, edits_arrangement.set_placements, locked=locked)

    def toggle_visible(self) -> None:
        """Hides the selected artworks, or shows them when all are hidden."""
        visible = not any(p.visible for p in self.session.placements)
        self.arrange(tr("Show") if visible else tr("Hide"), edits_arrangement.set_placements, visible=visible)

    def remove(self) -> None:
        kind, _, name = self.session.selection.partition(":")
        try:
            if self.session.placement_ids:
                self.arrange(tr("Remove"), edits_arrangement.remove_placements)
            elif kind == "keepout":
                self.session.edit(
                    tr("Remove a keep-out"), edits_keep_outs.remove_keep_out(self.session.document, int(name))
                )
            elif kind == "hanging":
                self.session.edit(
                    tr("Remove a hanging"), edits_hangings.remove_hanging(self.session.document, int(name))
                )
            elif kind == "line":
                removed = edits_guide_lines.remove_guide_line(self.session.document, int(name))
                self.session.edit(tr("Remove a guide line"), removed)
            elif kind == "photo":
                self.session.edit(tr("Remove the photo"), edits_photo.remove_photo(self.session.document))
            elif kind == "pen":
                self.session.edit(tr("Remove a pen"), edits.remove_pen(self.session.document, name))
        except BadValue as trouble:
            self.window.say(f"{trouble}.")

    def hang_beside(self, to_right: bool) -> None:
        """One more hanging beside the outermost one, where both zones meet over the artwork's height."""
        from wallwright.planning.hanging_proposal import propose_beside

        found = propose_beside(self.session.document, to_right)
        if (
            self._hang(tr("Add a hanging"), lambda d: edits_hangings.add_hanging(d, *found.places[0]))
            and found.warning
        ):
            self.window.say(found.warning)

    def hang_as_often(self) -> None:
        """Proposes the hangings that are missing to cover the artwork, or all of them anew; the person decides."""
        from wallwright.planning.hanging_proposal import completing, propose_covering
        from wallwright.window.features.hanging_question import ask_about_hangings

        before = self.session.document
        missing = completing(before)
        if missing.is_covered:
            self.window.say(tr("The hangings that exist cover the artwork."))
            return
        anew = propose_covering(before, self.session.hanging)
        if not missing.places and not anew.places:
            self.window.say(missing.warning)
            return
        decided = ask_about_hangings(self.window, before, missing, anew)
        if decided is not None and self.session.edit(tr("Hang as often as it takes"), decided[0]):
            self.session.select(f"hanging:{decided[1]}")
            self.window.canvas.fit()

    def keep_meetings(self) -> None:
        """Fixes meeting lines and register marks where they are: once exported they are on the wall."""
        document, preview = self.session.document, self.session.preview
        if preview is not None and self.session.preview_document is document:
            kept = edits_register.keep_handover_lines(document, preview.meetings, preview.marks)
            if kept != document:
                self.session.edit(tr("Keep where hangings meet"), kept)

    def _hang(self, title: str, edit: Callable[[Document], Document]) -> bool:
        """Adds a hanging and selects it."""
        try:
            document = edit(self.session.document)
        except BadValue as trouble:
            self.window.say(f"{trouble}.")
            return False
        done = self.session.edit(title, document)
        if done:
            self.session.select(f"hanging:{len(document.hangings) - 1}")
        return done

    def add_pen(self) -> None:
        """A pen for the colour that lacks one most."""
        document, pen = colour_pens.with_one_more(self.session.document, self.session.preview)
        if self.session.edit(tr("Add a pen"), document):
            self.session.select(f"pen:{pen.id}")

    def pens_for_colours(self) -> None:
        """A pen for each colour of the artwork that no pen comes near."""
        document = self.session.document
        new = colour_pens.with_pens_for(document, colour_pens.seen_colours(self.session.preview))
        if new is document:
            self.window.say(tr("Every colour of the artwork has a pen that comes near."))
        else:
            self.session.edit(tr("Pens for the colours"), new)

    def add_guide_line(self, plumb: bool) -> None:
        """A line through the middle of the wall, or at the height of the eyes."""
        wall = self.session.document.wall
        at = wall.left + wall.width / 2 if plumb else wall.floor - min(EYES, wall.height / 2)
        document = edits_guide_lines.add_guide_line(self.session.document, plumb, round(at))
        if self.session.edit(tr("Add a guide line"), document):
            self.session.select(f"line:{len(document.guide_lines) - 1}")

    def add_keep_out(self) -> None:
        document, wall = self.session.document, self.session.document.wall
        x, y = wall.left + wall.width / 2, wall.top + 0.8 * wall.height
        outline = edits_keep_outs.rectangle((x - 200, y - 200), (x + 200, y + 200))
        document = edits_keep_outs.add_keep_out(document, tr("Keep-out"), outline)
        self.session.edit(tr("Add a keep-out"), document)
        self.session.select(f"keepout:{len(document.wall.keep_outs) - 1}")

    def draw_keep_out(self) -> None:
        """The pointer draws a keep-out next."""
        from wallwright.window.canvas.keep_out_tool import KeepOutTool

        self.window.show_wall()
        self.window.canvas.use_tool(KeepOutTool(self.window.canvas))

    def abandon(self) -> None:
        """What is computed beside the window is not wanted any more."""
        if self._mending is not None:
            self._mending.abandon()
