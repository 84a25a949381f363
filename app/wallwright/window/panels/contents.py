"""What the document holds, as a tree: wall, machine, hangings, pens, artwork."""

from __future__ import annotations

from PySide6.QtCore import QItemSelectionModel, QPoint, Qt, Signal
from PySide6.QtGui import QContextMenuEvent
from PySide6.QtWidgets import QTreeWidget, QTreeWidgetItem, QWidget

from wallwright.artwork.colour import name_of
from wallwright.document.language import tr
from wallwright.window.canvas.guide_lines import line_words
from wallwright.window.model.selection import PartSelection
from wallwright.window.model.session import Session
from wallwright.window.widgets.choices import swatch

KEY = Qt.ItemDataRole.UserRole
MOST_GROUPS = 100
"""Listed of one artwork: more are not found by reading."""


class Contents(QTreeWidget):
    """Selecting here selects in the session, and the other way round."""

    menu_wanted = Signal(QPoint)
    """At a point of the screen, for what is selected."""

    def __init__(self, session: Session, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.session = session
        self.setHeaderHidden(True)
        self.setAccessibleName(tr("Contents"))
        self.setWhatsThis(
            tr("Everything in this project. Choose something to see and change its properties.")
        )
        self.setFrameShape(QTreeWidget.Shape.NoFrame)
        self._filling = False
        self._shown: list[tuple] = []
        self.setSelectionMode(QTreeWidget.SelectionMode.ExtendedSelection)
        self.itemSelectionChanged.connect(self._chosen)
        session.document_changed.connect(self.fill)
        session.preview_changed.connect(self.fill)
        session.hanging_changed.connect(self.fill)
        session.selection_changed.connect(self._mark)
        self.fill()

    def rows(self) -> list[tuple]:
        """(key, text, colour or None, depth) of every row."""
        document = self.session.document
        rows: list[tuple] = [
            ("wall", tr("Wall and job"), None, 0),
            ("machine", document.machine.name, None, 0),
        ]
        if document.photo is not None:
            rows.append(("photo", tr("Photo of the wall"), None, 0))
        rows += self._hangings()
        if document.wall.keep_outs:
            rows.append(("", tr("Keep-outs"), None, 0))
            rows += [(f"keepout:{i}", k.name, None, 1) for i, k in enumerate(document.wall.keep_outs)]
        if document.guide_lines:
            rows.append(("", tr("Guide lines"), None, 0))
            rows += [
                (f"line:{i}", line_words(document.wall, g), None, 1)
                for i, g in enumerate(document.guide_lines)
            ]
        rows.append(("", tr("Pens"), None, 0))
        rows += [(f"pen:{p.id}", tr("{0}, {1:g} mm", p.name, p.width), p.colour, 1) for p in document.pens]
        rows.append(("", tr("Artwork"), None, 0))
        for placement in document.placements:
            name = document.artwork(placement.artwork).name
            rows.append((f"placement:{placement.id}", name if placement.visible else f"({name})", None, 1))
            rows += self._parts(placement.id)
        return rows

    def _hangings(self) -> list[tuple]:
        """One as a row of its own; several together, the one in hand told."""
        hangings = self.session.document.hangings
        if len(hangings) == 1:
            return [("hanging:0", hangings[0].name, None, 0)]
        names = [
            tr("{0} (in hand)", h.name) if i == self.session.hanging else h.name
            for i, h in enumerate(hangings)
        ]
        return [
            ("", tr("Hangings"), None, 0),
            *((f"hanging:{i}", name, None, 1) for i, name in enumerate(names)),
        ]

    def _parts(self, placement: str) -> list[tuple]:
        """The colours of an artwork, then its groups and their colours; of a single colour nothing."""
        report = self.session.report_of(placement)
        if report is None or len(report.parts) < 2:
            return []
        pens = self.session.preview_document.pens
        names = [p.name for p in pens] + [tr("not drawn")]  # the last one also stands for pen -1

        def row(part: PartSelection, pen: int, depth: int) -> tuple:
            return part.key, tr("{0}: {1}", name_of(part.colour), names[pen]), part.colour, depth

        rows = [row(PartSelection(placement, use.colour), use.pen, 2) for use in report.colours]
        groups = dict.fromkeys(
            part.group[: depth + 1] for part in report.parts for depth in range(len(part.group))
        )
        for group in list(groups)[:MOST_GROUPS]:
            rows.append((PartSelection(placement, "", group).key, " / ".join(group), None, 2))
            own = [part for part in report.parts if part.group == group]
            rows += [row(PartSelection(placement, part.colour, group), part.pen, 3) for part in own]
        if len(groups) > MOST_GROUPS:
            rows.append(("", tr("and {0} more groups", len(groups) - MOST_GROUPS), None, 2))
        return rows

    def fill(self) -> None:
        rows = self.rows()
        if rows == self._shown:
            return
        self._shown = rows
        self._filling = True
        opened = {i.data(0, KEY) for i in self._items() if i.childCount() and i.isExpanded()}
        folded = {i.text(0) for i in self._items() if i.childCount() and not i.isExpanded()}
        self.clear()
        parents: list[QTreeWidgetItem] = []
        for key, text, colour, depth in rows:
            item = QTreeWidgetItem([text])
            item.setData(0, KEY, key)
            if colour:
                item.setIcon(0, swatch(colour))
            if not key:
                item.setFlags(Qt.ItemFlag.ItemIsEnabled)
            del parents[depth:]
            if parents:
                parents[-1].addChild(item)
            else:
                self.addTopLevelItem(item)
            parents.append(item)
        self.expandAll()
        for item in self._items():
            # Parts are there when they are looked for; what a person opened stays open.
            if item.data(0, KEY).startswith(("placement:", "part:")):
                item.setExpanded(item.data(0, KEY) in opened)
            elif item.text(0) in folded:
                item.setExpanded(False)
        self._filling = False
        self._mark()

    def _mark(self) -> None:
        self._filling = True
        self.clearSelection()
        for item in self._items():
            if item.data(0, KEY) in self.session.chosen:
                if item.data(0, KEY) == self.session.chosen[-1]:
                    self.setCurrentItem(item, 0, QItemSelectionModel.SelectionFlag.NoUpdate)
                item.setSelected(True)
        self._filling = False

    def _chosen(self) -> None:
        """What can only be selected alone is, even when the person wanted more: the tree then shows so."""
        if self._filling or not self.selectedItems():
            return
        keys = [item.data(0, KEY) for item in self.selectedItems() if item.data(0, KEY)]
        current = self.currentItem().data(0, KEY) if self.currentItem() is not None else ""
        if current in keys and not current.startswith("placement:"):
            keys = [current]
        if keys:
            self.session.select(*keys)
        self._mark()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """The press that asks for it has selected what it is on."""
        at = event.globalPos()
        item = self.itemAt(event.pos())
        if event.reason() == QContextMenuEvent.Reason.Keyboard and self.currentItem() is not None:
            item = self.currentItem()
            at = self.viewport().mapToGlobal(self.visualItemRect(item).center())
        if item is not None and item.data(0, KEY):
            self.menu_wanted.emit(at)

    def _items(self) -> list[QTreeWidgetItem]:
        return self.findItems("*", Qt.MatchFlag.MatchWildcard | Qt.MatchFlag.MatchRecursive)
