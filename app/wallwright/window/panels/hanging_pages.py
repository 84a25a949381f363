"""Pages of the inspector about hangings: one of them, and how they meet."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox, QFormLayout

from wallwright.document.language import tr
from wallwright.jobs.hanging_position import anchor_positions
from wallwright.window.panels.forms import Forms
from wallwright.window.panels.handover_field import HandoverField
from wallwright.window.widgets.choices import narrow, swatch
from wallwright.window.widgets.explain import explain


class HangingPages(Forms):
    """Builds them."""

    def _build_hanging(self, name: str) -> None:
        path = f"hangings.{name}"
        self._title(tr("Hanging"))
        form = self._form()
        self._text(form, f"{path}.name", tr("Name"))
        for side, title in (("left", tr("Left anchor")), ("right", tr("Right anchor"))):
            self._title(title)
            self._numbers(f"{path}.{side}", skip=("x", "y") if (name, side) == ("0", "left") else ())
        self._title(
            tr("Starting place"),
            tr("Where the pen is when the job starts, and where pens are changed."),
        )
        form = self._form()
        self._point(form, f"{path}.datum", tr("Pen at"))
        if len(self.session.document.hangings) > 1:
            self._build_neighbours(int(name))

    def _build_neighbours(self, number: int) -> None:
        """Where a hanging is against those drawn before it, and where it meets the one on its right."""
        document = self.session.document
        if number != document.from_left[-1]:
            self._title(tr("Meeting line"), tr("Where this hanging hands over to its neighbour on the right. It can be "
                                               "dragged on the wall too."))  # fmt: skip
            meets = HandoverField(self.session, number)
            self._refresh.append(meets.refresh)
            self._column.addWidget(meets)
        if number:
            self._title(tr("Measured from the anchors before"))
            note = self._note("")
            self._refresh.append(
                lambda: note.setText(
                    "\n".join(f"{p.words}: {p.told}" for p in anchor_positions(self.session.document, number))
                )
            )
            self._refresh[-1]()

    def _build_joining(self, several: bool) -> None:
        if several:
            self._title(tr("Where hangings meet"), tr("How strokes are cut between neighbouring hangings."))
            form = self._form()
            self._numbers("settings.joining", form)
            self._build_mark_pen(form)

    def _build_mark_pen(self, form: QFormLayout) -> None:
        """Which pen draws the register marks."""
        title, box = tr("Pen of the marks"), narrow(QComboBox())
        explain(box, tr("Draws the crosses that later hangings are lined up by."), title)
        for pen in self.session.document.pens:
            box.addItem(swatch(pen.colour), pen.name, pen.id)

        def refresh() -> None:
            box.setCurrentIndex(max(box.findData(self.session.document.settings.joining.pen), 0))

        box.activated.connect(
            lambda: self.session.set_field(
                tr("Change: {0}", title), "settings.joining.pen", box.currentData()
            )
        )
        self._refresh.append(refresh)
        refresh()
        form.addRow(title, box)
