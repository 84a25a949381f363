"""Pages of the inspector about the wall: keep-outs, guide lines, its photo; and where artwork is as a tape measures it."""

from __future__ import annotations

from PySide6.QtWidgets import QFormLayout

from wallwright.document import edits_arrangement, edits_guide_lines, edits_keep_outs
from wallwright.document.document import Document
from wallwright.document.language import N_, tr
from wallwright.document.placing import placement_box
from wallwright.document.quantity import Quantity
from wallwright.document.wall import COORDINATE
from wallwright.window.panels.forms import Forms

KEEP_OUTS = (
    N_("Door"),
    N_("Window"),
    N_("Switch"),
    N_("Socket"),
    N_("Picture"),
    N_("Radiator"),
    N_("Shelf"),
    N_("Lamp"),
)
"""Names that keep-outs often have; any other can be typed."""


def _by_tape(name: str, title: str, help: str) -> Quantity:
    return Quantity(name, "mm", -2 * COORDINATE, 2 * COORDINATE, 0.0, title, help, "")


FROM_LEFT = _by_tape("from_left", N_("From the wall's left"), N_("As a tape measures it on the wall."))
ABOVE_FLOOR = _by_tape("above_floor", N_("Above the floor"), N_("As a tape measures it on the wall."))
LEFT_SIDE = _by_tape("left_side", N_("Left side at"), N_("From the wall's left to the leftmost of it."))
BOTTOM = _by_tape("bottom", N_("Bottom at"), N_("Above the floor, of the lowest of it."))


class WallPages(Forms):
    """Builds them."""

    def _build_keepout(self, name: str) -> None:
        index = int(name)
        self._title(tr("Keep-out"), tr("Neither pen nor body may touch it."))
        form = self._form()
        self._text(form, f"wall.keep_outs.{index}.name", tr("Name"), tuple(map(tr, KEEP_OUTS)))

        def box() -> tuple[float, float, float, float]:
            return edits_keep_outs.box_of(self.session.document.wall.keep_outs[index].outline)

        def moved(x: float, y: float) -> Document:
            left, top, _, _ = box()
            return edits_keep_outs.move_keep_out(self.session.document, index, x - left, y - top)

        def sized(w: float, h: float) -> Document:
            left, top, _, _ = box()
            return edits_keep_outs.fit_keep_out(self.session.document, index, (left, top, left + w, top + h))

        self._pair(form, tr("Corner"), lambda: box()[:2], moved)
        self._pair(form, tr("Size"), lambda: (box()[2] - box()[0], box()[3] - box()[1]), sized)

    def _build_line(self, name: str) -> None:
        number = int(name)
        plumb = self.session.document.guide_lines[number].plumb
        self._title(tr("Plumb line") if plumb else tr("Level line"),
                    tr("On screen only: what is dragged comes to rest on it."))  # fmt: skip
        form = self._form()

        def read() -> float:
            document = self.session.document
            at = document.guide_lines[number].at
            return at - document.wall.left if plumb else document.wall.floor - at

        def moved(value: float) -> Document:
            document = self.session.document
            at = document.wall.left + value if plumb else document.wall.floor - value
            return edits_guide_lines.move_guide_line(document, number, at)

        self._number(form, FROM_LEFT if plumb else ABOVE_FLOOR, read, moved)
        self._numbers(f"guide_lines.{name}", form)

    def _build_photo(self, _: str) -> None:
        self._title(
            tr("Photo of the wall"), tr("Behind the artwork on screen only; straightened by four points.")
        )
        form = self._form()
        self._numbers("photo", form)
        self._tick(form, "photo.shown", tr("Shown"), tr("Whether the photo is seen behind the artwork."))

    def _measured_place(self, form: QFormLayout, name: str) -> None:
        """Where an artwork's box is, from the wall's left and above its floor."""

        def left() -> float:
            document = self.session.document
            return placement_box(document.placement(name))[0] - document.wall.left

        def bottom() -> float:
            document = self.session.document
            return document.wall.floor - placement_box(document.placement(name))[3]

        def moved(dx: float, dy: float) -> Document:
            return edits_arrangement.move_placements(self.session.document, [name], dx, dy)

        self._number(form, LEFT_SIDE, left, lambda value: moved(value - left(), 0.0))
        self._number(form, BOTTOM, bottom, lambda value: moved(0.0, bottom() - value))
