"""What the document holds, as a tree: wall, machine, hangings, pens, artwork."""

from __future__ import annotations

from PySide6.QtCore import QItemSelectionModel, QPoint, Qt, Signal
from PySide6.QtGui import QContextMenuEvent, QDropEvent
from PySide6.QtWidgets import QTreeWidget, QTreeWidgetItem, QWidget

from wallwright.artwork.colour import names_of
from wallwright.document.language import tr
from wallwright.window.canvas.guide_lines import line_words
from wallwright.window.model.items import (
    MACHINE,
    PHOTO,
    WALL,
    GuideLineItem,
    HangingItem,
    Item,
    KeepOutItem,
    PartItem,
    PenItem,
    PlacementItem,
)
from wallwright.window.model.models import Models
from wallwright.window.widgets.choices import swatch
from wallwright.window.widgets.whole_text import CUT, counted, keep_whole_in_tips

Indicator = QTreeWidget.DropIndicatorPosition
KEY, TITLE = Qt.ItemDataRole.UserRole, Qt.ItemDataRole.UserRole + 1
MOST_GROUPS = 100
"""Listed of one artwork: more are not found by reading."""


Row = tuple[Item | None, str, str | None, int]
"""The item, or None for a heading; text; colour, or None; depth."""


class Contents(QTreeWidget):
    """Selecting here selects in the window, and the other way round."""

    menu_wanted = Signal(QPoint)
    """At a point of the screen, for what is selected."""
    pen_moved = Signal(str, int)
    """A pen, by id, was dragged to this place of the list, from 0."""

    def __init__(self, models: Models, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.models = models
        self.setHeaderHidden(True)
        keep_whole_in_tips(self)
        self.setAccessibleName(tr("Contents"))
        self.setWhatsThis(tr("Everything in this project. Select an item to see and change its properties."))
        self.setFrameShape(QTreeWidget.Shape.NoFrame)
        self.setDragDropMode(QTreeWidget.DragDropMode.InternalMove)  # of pens: they draw in the order of the list
        self._filling = False
        self._shown: list[Row] = []
        self.setSelectionMode(QTreeWidget.SelectionMode.ExtendedSelection)
        self.itemSelectionChanged.connect(self._chosen)
        self.itemClicked.connect(self._open_heading)
        models.project.changed.connect(self.fill)
        models.project.refused.connect(self.fill)
        models.planning.preview_changed.connect(self.fill)
        models.origin.changed.connect(self.fill)  # another current hanging changes it as well
        models.selection.changed.connect(self._mark)
        self.fill()

    def rows(self) -> list[Row]:
        """Everything in the document, in the order of the tree."""
        document = self.models.project.document
        rows: list[Row] = [
            (WALL, tr("Wall and job"), None, 0),
            (MACHINE, document.machine.name, None, 0),
        ]
        if document.photo is not None:
            rows.append((PHOTO, tr("Photo of the wall"), None, 0))
        rows += self._hangings()
        if document.wall.keep_outs:
            rows.append((None, tr("Keep-outs"), None, 0))
            rows += [(KeepOutItem(i), k.name, None, 1) for i, k in enumerate(document.wall.keep_outs)]
        if document.guide_lines:
            rows.append((None, tr("Guide lines"), None, 0))
            rows += [
                (GuideLineItem(i), line_words(self.models.origin.present, g), None, 1)
                for i, g in enumerate(document.guide_lines)
            ]
        rows.append((None, tr("Pens"), None, 0))
        rows += [(PenItem(p.id), tr("{0}, {1:g} mm", p.name, p.width), p.colour, 1) for p in document.pens]
        several = len(document.placements) > 1
        rows.append((None, tr("Artwork, front first") if several else tr("Artwork"), None, 0))
        for placement in reversed(document.placements):
            name = document.artwork(placement.artwork).name
            rows.append((PlacementItem(placement.id), name if placement.visible else f"({name})", None, 1))
            rows += self._parts(placement.id)
        return rows

    def _hangings(self) -> list[Row]:
        """A single one as a row; several together, the current one marked."""
        hangings = self.models.project.document.hangings
        if len(hangings) == 1:
            return [(HangingItem(0), hangings[0].name, None, 0)]
        names = [
            tr("{0} (current)", h.name) if i == self.models.selection.hanging else h.name
            for i, h in enumerate(hangings)
        ]
        return [
            (None, tr("Hangings"), None, 0),
            *((HangingItem(i), name, None, 1) for i, name in enumerate(names)),
        ]

    def _parts(self, placement: str) -> list[Row]:
        """The colours of an artwork, then its groups and their colours; of a single colour nothing."""
        planning = self.models.planning
        report, document = planning.report_of(placement), planning.preview_document
        if report is None or document is None or len(report.parts) < 2:
            return []
        pens = document.pens
        names = [p.name for p in pens] + [tr("hidden")]  # the last one also stands for pen -1

        colours = list(dict.fromkeys(part.colour for part in (*report.colours, *report.parts)))
        called = dict(zip(colours, names_of(colours), strict=True))

        def row(part: PartItem, pen: int, depth: int) -> Row:
            return part, tr("{0}: {1}", called[part.colour], names[pen]), part.colour, depth

        rows = [row(PartItem(placement, use.colour), use.pen, 2) for use in report.colours]
        groups = dict.fromkeys(part.group[: depth + 1] for part in report.parts for depth in range(len(part.group)))
        for group in list(groups)[:MOST_GROUPS]:
            rows.append((PartItem(placement, "", group), " / ".join(group), None, 2))
            own = [part for part in report.parts if part.group == group]
            rows += [row(PartItem(placement, part.colour, group), part.pen, 3) for part in own]
        if len(groups) > MOST_GROUPS:
            rows.append((None, tr("and {0} more groups", len(groups) - MOST_GROUPS), None, 2))
        return rows

    def fill(self) -> None:
        rows = self.rows()
        if rows == self._shown:
            return
        self._shown = rows
        self._filling = True
        opened = {i.data(0, KEY) for i in self._items() if i.childCount() and i.isExpanded()}
        folded = {i.data(0, TITLE) for i in self._items() if i.childCount() and not i.isExpanded()}
        self.clear()
        parents: list[QTreeWidgetItem] = []
        for number, (key, text, colour, depth) in enumerate(rows):
            count = _count_below(rows, number) if key is None else 0
            item = QTreeWidgetItem([counted(text, count)])
            item.setData(0, KEY, key)
            item.setData(0, TITLE, text)
            if isinstance(key, PartItem) and key.colour:
                item.setData(
                    0, CUT, Qt.TextElideMode.ElideRight
                )  # the pen's name begins with what tells it from others
            if colour:
                item.setIcon(0, swatch(colour))
            item.setFlags(_flags(key, text))
            del parents[depth:]
            if parents:
                parents[-1].addChild(item)
            else:
                self.addTopLevelItem(item)
            parents.append(item)
        self.expandAll()
        for item in self._items():
            # Parts are made when they are first needed; what a person opened stays open.
            if isinstance(item.data(0, KEY), PlacementItem | PartItem):
                item.setExpanded(item.data(0, KEY) in opened)
            elif item.data(0, TITLE) in folded:
                item.setExpanded(False)
        self._filling = False
        self._mark()

    def _mark(self) -> None:
        self._filling = True
        self.clearSelection()
        for item in self._items():
            if item.data(0, KEY) in self.models.selection.items:
                if item.data(0, KEY) == self.models.selection.items[-1]:
                    self.setCurrentItem(item, 0, QItemSelectionModel.SelectionFlag.NoUpdate)
                item.setSelected(True)
        self._filling = False

    def _open_heading(self, row: QTreeWidgetItem) -> None:
        """A heading has no page: it opens that of the first item below it."""
        first = row.child(0) if row.data(0, KEY) is None else None
        if first is not None and first.data(0, KEY) is not None:
            self.models.selection.select(first.data(0, KEY))

    def _chosen(self) -> None:
        """What can only be selected alone is, even when the person wanted more: the tree then shows so."""
        if self._filling or not self.selectedItems():
            return
        items = [row.data(0, KEY) for row in self.selectedItems() if row.data(0, KEY) is not None]
        row = self.currentItem()
        current = row.data(0, KEY) if row is not None else None
        if current in items and not isinstance(current, PlacementItem):
            items = [current]
        if items:
            self.models.selection.select(*items)
        self._mark()

    def dropEvent(self, event: QDropEvent) -> None:
        """The document moves the row of a pen, not the tree."""
        event.setDropAction(Qt.DropAction.IgnoreAction)
        event.accept()
        dragged, target = self.currentItem(), self.itemAt(event.position().toPoint())
        pen = dragged.data(0, KEY) if dragged is not None else None
        if isinstance(pen, PenItem):
            self.drop_pen(pen.pen, target, self.dropIndicatorPosition() == Indicator.BelowItem)

    def drop_pen(self, pen: str, target: QTreeWidgetItem | None, is_below: bool) -> None:
        """A pen that is dropped beside another one draws there from now on; on their heading it becomes the first."""
        ids = [p.id for p in self.models.project.document.pens]
        over = target.data(0, KEY) if target is not None else None
        place = ids.index(over.pen) + is_below if isinstance(over, PenItem) else 0
        if ids.index(pen) < place:
            place -= 1  # it leaves a place above
        self.pen_moved.emit(pen, place)

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """The press that asks for it has selected what it is on."""
        at = event.globalPos()
        item = self.itemAt(event.pos())
        current = self.currentItem()
        if event.reason() == QContextMenuEvent.Reason.Keyboard and current is not None:
            item = current
            at = self.viewport().mapToGlobal(self.visualItemRect(item).center())
        if item is not None and item.data(0, KEY) is not None:
            self.menu_wanted.emit(at)

    def _items(self) -> list[QTreeWidgetItem]:
        return self.findItems("*", Qt.MatchFlag.MatchWildcard | Qt.MatchFlag.MatchRecursive)


def _count_below(rows: list[Row], heading: int) -> int:
    """How many rows stand one step below a heading, which has this number."""
    depth, count = rows[heading][3], 0
    for row in rows[heading + 1 :]:
        if row[3] <= depth:
            break
        count += row[3] == depth + 1
    return count


def _flags(key: Item | None, text: str) -> Qt.ItemFlag:
    """Only pens are dragged, and only between pens: drops go to their heading."""
    if key is None:
        flags = Qt.ItemFlag.ItemIsEnabled
        return flags | Qt.ItemFlag.ItemIsDropEnabled if text == tr("Pens") else flags
    flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
    return flags | Qt.ItemFlag.ItemIsDragEnabled if isinstance(key, PenItem) else flags
