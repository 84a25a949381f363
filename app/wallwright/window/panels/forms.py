"""Pieces of property forms: numbers, points, texts and choices bound to a path of the document."""

from __future__ import annotations

import html
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from typing import Any

import msgspec
from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QCheckBox,
    QComboBox,
    QFormLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from wallwright.document import edits
from wallwright.document.document import Document
from wallwright.document.edits import FieldPath
from wallwright.document.errors import BadValue
from wallwright.document.language import tr
from wallwright.document.quantity import Quantity, quantities
from wallwright.window.model.models import Models
from wallwright.window.panels.keyed_fields import KeyedField, go_on, is_being_pressed, leave
from wallwright.window.panels.page_area import PageArea
from wallwright.window.panels.title_alignment import align_page
from wallwright.window.widgets.choices import narrow
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.line_text import LineField, replace_text
from wallwright.window.widgets.more_fold import MoreFold, unfold_around
from wallwright.window.widgets.number_field import NumberField
from wallwright.window.widgets.pair_field import PairField
from wallwright.window.widgets.theme import CLOSE, NEAR, StyledLabel, TextSize

NAME_LETTERS = 20
"""Of a name that are to be read without scrolling."""
LEAST_WIDTH = 340
"""Pixels."""
RELEASED_MS = 50
"""Until a part is tried again that could not be made anew while it was pressed."""
MARGIN = NEAR
"""Pixels at the left and right edge of a page."""


def value_at(document: Document, path: FieldPath) -> Any:
    """The value at a dotted path."""
    value: Any = document
    for part in path.split("."):
        value = value[int(part)] if isinstance(value, tuple) else getattr(value, part)
    return value


class Forms(PageArea):
    """A column of forms on one document. Each field refreshes itself from it."""

    show_place = Signal(tuple)
    """A box on the wall, mm, to be brought into view."""
    action_wanted = Signal(str)
    """The id of an action of the window that a button of a page does."""
    fill_zone_wanted = Signal()
    """What is selected is to be as large as the draw zone takes."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(LEAST_WIDTH, parent)
        self.models = models
        self.refreshers: list[Callable[[], None]] = []
        """Show what the document has, one for each field."""
        self.column = QVBoxLayout()
        """Where what is added goes."""
        self._keyed: QWidget | None = None
        """What had the keys when they last moved: a field that they are moving to comes after it."""
        application = QApplication.instance()
        if isinstance(application, QApplication):
            application.focusChanged.connect(self._note_keys)

    def _note_keys(self, before: QWidget | None, now: QWidget | None) -> None:
        if now is not None:  # None: another program has the keys, and they come back to the same field
            self._keyed = now

    def keyed_field(self) -> QWidget | None:
        """The field of the page that has the keys, also while another window is the active one."""
        field = self.window().focusWidget()  # that of the panel would be the field that had them last
        return field if field is not None and self.isAncestorOf(field) else None

    def _leave(self, old: QWidget | None) -> KeyedField | None:
        """The field of a part that has the keys, before the part goes."""
        field = self.keyed_field()
        return leave(field, old, field is not self._keyed) if old is not None else None

    def _replace_page(self, page: QWidget, keyed: KeyedField | None, top: int) -> None:
        """Shows a page in place of the last one. keyed: the field in which whoever types goes on. top: pixels scrolled."""
        old = self.takeWidget()
        self.setWidget(page)
        if old is not None:
            QTimer.singleShot(0, old.deleteLater)  # not at once: one of its fields may have brought the change
        self._align()
        go_on(page, keyed)
        if top and (layout := page.layout()) is not None:
            layout.activate()
            self.verticalScrollBar().setValue(top)

    def _begin(self) -> QWidget:
        """An empty page in place of the last one."""
        self.refreshers = []
        page = QWidget()
        self.column = QVBoxLayout(page)
        self.column.setContentsMargins(MARGIN, CLOSE, MARGIN, CLOSE)
        return page

    def add_refreshed(self, read: Callable[[], Any], build: Callable[[Any], None]) -> None:
        """A part of the page that is built anew when what it shows has changed; the rest keeps its cursor."""
        holder = QVBoxLayout()
        self.column.addLayout(holder)
        shown: list[Any] = []
        own: list[Callable[[], None]] = []  # of the fields of the present part: they go with it

        def refresh() -> None:
            now = read()
            if shown and shown[0] == now:
                for one in own:
                    one()
                return
            last = holder.itemAt(0)
            old = last.widget() if last is not None else None
            if old is not None and is_being_pressed(old):
                QTimer.singleShot(RELEASED_MS, old, refresh)
                return
            holder.takeAt(0)
            keyed = self._leave(old)
            part, outer, others = QWidget(), self.column, self.refreshers
            self.column, self.refreshers = QVBoxLayout(part), own
            own.clear()
            self.column.setContentsMargins(0, 0, 0, 0)
            build(now)
            self.column, self.refreshers = outer, others
            holder.addWidget(part)
            shown[:] = [now]
            if old is not None:
                if old.isVisible():
                    part.show()  # what is not seen yet takes no keys
                go_on(part, keyed)
                old.hide()
                old.deleteLater()
                self._align()

        self.refreshers.append(refresh)
        refresh()

    def _align(self) -> None:
        """Puts titles and fields in line, for the width that there is now."""
        if (page := self.widget()) is not None:
            bar = self.verticalScrollBar().sizeHint().width()
            align_page(page, self.viewport().width(), LEAST_WIDTH - bar, self.most_width() - bar, 2 * MARGIN)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._align()

    def add_title(self, text: str, help: str = "") -> QLabel:
        label = StyledLabel(html.escape(text), is_strong=True)
        label.setTextFormat(Qt.TextFormat.RichText)
        label.setContentsMargins(0, NEAR if self.column.count() else 0, 0, 0)
        self.column.addWidget(label)
        if help:
            self.add_note(help)
        return label

    def add_note(self, text: str) -> QLabel:
        note = StyledLabel(text, TextSize.SMALL)
        self.column.addWidget(note)
        return note

    @contextmanager
    def folded(self, key: str, title: str) -> Iterator[None]:
        """What is added meanwhile is folded under "More". key: what its state is remembered by. title: what it is about."""
        fold, outer = MoreFold(key, title), self.column
        outer.addWidget(fold)
        self.column = fold.column
        yield
        self.column = outer

    def show_field(self, path: FieldPath) -> None:
        """Brings the field of a number or choice of the document into view, unfolded, and gives it the keys. Nothing happens
        where the page has none."""
        page = self.widget()
        field = page.findChild(QWidget, path) if page is not None else None
        if field is None:
            return
        unfold_around(field)
        field.setFocus(Qt.FocusReason.OtherFocusReason)
        # The page has its new height only once the event loop goes on.
        QTimer.singleShot(0, field, partial(self.ensureWidgetVisible, field))

    def add_form(self) -> QFormLayout:
        form = QFormLayout()
        form.setFieldGrowthPolicy(QFormLayout.FieldGrowthPolicy.AllNonFixedFieldsGrow)
        form.setLabelAlignment(Qt.AlignmentFlag.AlignLeft)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self.column.addLayout(form)
        return form

    def add_numbers(
        self,
        path: FieldPath,
        form: QFormLayout | None = None,
        skip: tuple[str, ...] = (),
        keep_aspect: bool = False,
        units: Mapping[str, str] | None = None,
    ) -> None:
        """All quantities of the struct at a path. units: by name, of those whose unit depends on something else."""
        form = form or self.add_form()
        struct = value_at(self.models.project.document, path)
        for name, quantity in quantities(type(struct)).items():
            if name in skip:
                continue
            quantity = msgspec.structs.replace(quantity, unit=(units or {}).get(name, quantity.unit))
            field = NumberField(quantity, getattr(struct, name))
            full = f"{path}.{name}"
            field.setObjectName(full)

            def enter(value: float, full: FieldPath = full, name: str = name, title: str = quantity.title) -> None:
                if keep_aspect and name in ("width", "height"):
                    self._resize(path, name, value)
                else:
                    self.models.project.set_field(tr("Change: {0}", tr(title)), full, value)

            field.entered.connect(enter)
            field.refused_unseen.connect(self.models.messages.say)
            self.refreshers.append(partial(self._show_number, field, full))
            form.addRow(quantity.shown_title, field)

    def _show_number(self, field: NumberField, path: FieldPath) -> None:
        field.show_value(value_at(self.models.project.document, path))

    def _resize(self, path: FieldPath, name: str, value: float) -> None:
        """Width and height go together: artwork keeps its proportions; handles can let them go."""
        placement = value_at(self.models.project.document, path)
        other = "height" if name == "width" else "width"
        share = value / getattr(placement, name)
        fields = {name: value, other: getattr(placement, other) * share}
        self.models.project.edit(
            tr("Resize"), edits.set_placement(self.models.project.document, placement.id, **fields)
        )

    def add_pair(
        self,
        form: QFormLayout,
        title: str,
        read: Callable[[], tuple[float, float]],
        edit: Callable[[float, float], Document],
        help: str = "",
    ) -> None:
        """Two numbers, "x, y" in mm, and the document that new ones give."""
        line = PairField(title, help or tr("To the right and down, in mm. Calculations and units work too."))

        def enter(x: float, y: float) -> None:
            try:
                document = edit(x, y)
            except BadValue as trouble:
                self.models.messages.say(f"{trouble}.")
            else:
                self.models.project.edit(tr("Change: {0}", title), document)

        line.entered.connect(enter)
        line.refused_unseen.connect(self.models.messages.say)
        self.refreshers.append(lambda: line.show_value(*read()))
        line.show_value(*read())
        form.addRow(title, line)

    def add_number(
        self,
        form: QFormLayout,
        quantity: Quantity,
        read: Callable[[], float],
        edit: Callable[[float], Document],
    ) -> None:
        """A number that the document tells in another way, and the document that another value gives."""
        field = NumberField(quantity, read())

        def enter(value: float) -> None:
            try:
                document = edit(value)
            except BadValue as trouble:
                self.models.messages.say(f"{trouble}.")
                field.show_value(read())
            else:
                self.models.project.edit(tr("Change: {0}", quantity.shown_title), document)

        field.entered.connect(enter)
        field.refused_unseen.connect(self.models.messages.say)
        self.refreshers.append(lambda: field.show_value(read()))
        form.addRow(quantity.shown_title, field)

    def add_text(
        self,
        form: QFormLayout,
        path: FieldPath,
        title: str,
        offered: tuple[str, ...] = (),
        edit: Callable[[str], Document] | None = None,
    ) -> None:
        """offered: words to choose from; any other can be typed. edit: the document that a new text gives, where more than
        the text changes."""
        line = LineField()
        choices = _editable_box(line, offered) if offered else None
        if choices is not None:
            explain(choices, tr("The name in lists, checks and on the hanging sheet."), title)
        line.setText(value_at(self.models.project.document, path))
        explain(line, tr("The name in lists, checks and on the hanging sheet."), title)
        line.setMinimumWidth(NAME_LETTERS * line.fontMetrics().averageCharWidth())

        def rename() -> None:
            line.setModified(False)
            name = line.text().strip() or title
            if name != value_at(self.models.project.document, path):
                document = self.models.project.document
                self.models.project.edit(
                    tr("Rename"), edit(name) if edit is not None else edits.set_field(document, path, name)
                )

        line.editingFinished.connect(rename)
        if choices is not None:
            choices.activated.connect(rename)
        line.setCursorPosition(0)  # a long name is read from its beginning

        def refresh() -> None:
            if not line.isModified():
                replace_text(line, value_at(self.models.project.document, path))

        self.refreshers.append(refresh)
        form.addRow(title, choices or line)

    def add_choice(self, form: QFormLayout, path: FieldPath, title: str, titles: Mapping[Any, str], help: str) -> None:
        box = narrow(QComboBox())
        box.setObjectName(path)
        explain(box, help, title)
        for value, text in titles.items():
            box.addItem(tr(text), value)

        def refresh() -> None:
            box.setCurrentIndex(box.findData(value_at(self.models.project.document, path)))

        box.activated.connect(lambda: self.models.project.set_field(tr("Change: {0}", title), path, box.currentData()))
        self.refreshers.append(refresh)
        refresh()
        form.addRow(title, box)

    def add_fill_zone_button(self, form: QFormLayout) -> None:
        """The button that makes what is selected as large as the draw zone takes."""
        button = QPushButton(tr("Fit to draw zone"))
        explain(button, tr("Makes it as large as the draw zone allows and moves it there."))
        button.clicked.connect(self.fill_zone_wanted)
        form.addRow(button)

    def add_action(self, id: str, title: str, help: str) -> QPushButton:
        """A button that does an action of the window, below what is there."""
        button = QPushButton(title)
        explain(button, help)
        button.clicked.connect(lambda: self.action_wanted.emit(id))
        self.column.addWidget(button)
        return button

    def add_tick(self, form: QFormLayout, path: FieldPath, title: str, help: str) -> None:
        box = QCheckBox(title)
        explain(box, help)

        def refresh() -> None:
            box.setChecked(value_at(self.models.project.document, path))

        box.clicked.connect(lambda on: self.models.project.set_field(title, path, bool(on)))
        self.refreshers.append(refresh)
        refresh()
        form.addRow("", box)


def _editable_box(line: QLineEdit, offered: tuple[str, ...]) -> QComboBox:
    """A list whose entries can be chosen, or anything else typed into its line."""
    box = narrow(QComboBox())
    box.setEditable(True)
    box.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
    box.addItems(offered)
    box.setLineEdit(line)
    line.setCompleter(None)  # type: ignore[arg-type]  # Qt: none, so that a short name is not made a longer one
    return box
