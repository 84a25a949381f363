"""Search for commands and fields by words; shows location, keys and help."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QHeaderView,
    QLabel,
    QLineEdit,
    QTreeWidget,
    QTreeWidgetItem,
    QVBoxLayout,
    QWidget,
)

from wallwright.document.language import tr
from wallwright.window.shell.action import Action
from wallwright.window.shell.action_ids import ActionId
from wallwright.window.shell.field_search import FieldEntry, fields_of
from wallwright.window.shell.window_parts import WindowParts
from wallwright.window.widgets.screen_size import resize_within_screen
from wallwright.window.widgets.whole_text import keep_whole_in_tips

NUMBER = Qt.ItemDataRole.UserRole
LIST_KEYS = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)
LETTERS_WIDE, ROWS_HIGH = 78, 16


FIRST, BEGINS, WITHIN, HELP = 4, 3, 2, 1
"""Scores of a typed word that begins the title, begins a word of it, is within the title, or is in the help."""


def plain(text: str) -> str:
    """Returns the text in lower case without accents, so that "offnen" finds "Öffnen"."""
    parted = unicodedata.normalize("NFKD", text.casefold())
    return "".join(letter for letter in parted if not unicodedata.combining(letter))


def worth(typed: str, title: str, help: str) -> int:
    """Returns the score of the typed words for a title and help; 0 if a word is missing."""
    title, help = plain(title), plain(help)
    begins = re.split(r"[^\w]+", title)
    total = 0
    for word in plain(typed).split():
        if title.startswith(word):
            total += FIRST
        elif any(start.startswith(word) for start in begins):
            total += BEGINS
        elif word in title:
            total += WITHIN
        elif word in help:
            total += HELP
        else:
            return 0
    return total


def best(typed: str, texts: Sequence[tuple[str, str]]) -> list[int]:
    """Returns the indices of matching (title, help), best first; all in order if nothing is typed."""
    if not typed.strip():
        return list(range(len(texts)))
    worths = [worth(typed, *text) for text in texts]
    return sorted((i for i, w in enumerate(worths) if w), key=lambda i: -worths[i])


def plain_title(text: str) -> str:
    """Returns an action's title without access key and ellipsis."""
    return text.replace("&", "").removesuffix("…").strip()


class CommandSearch(QDialog):
    """Lists the actions of a window, and also its fields once words are typed; `chosen` is the person's choice after
    closing."""

    def __init__(
        self,
        parent: QWidget,
        declared: Sequence[Action],
        actions: Mapping[ActionId, QAction],
        fields: Sequence[FieldEntry] = (),
    ) -> None:
        """actions: those of the window, by id."""
        super().__init__(parent)
        self.setWindowTitle(tr("Find a command or a setting"))
        self.chosen: QAction | FieldEntry | None = None
        others = [d for d in declared if d.id is not ActionId.SEARCH]
        self._entries: list[QAction | FieldEntry] = [*(actions[d.id] for d in others), *fields]
        self._texts = [(f"{plain_title(tr(d.title))} ({tr(d.menu)})", tr(d.help)) for d in others]
        self._commands = len(self._texts)
        self._texts += [(field.title, field.help) for field in fields]
        self.line = QLineEdit()
        self.line.setPlaceholderText(tr("What do you want to do or set?"))
        self.line.setAccessibleName(tr("Search words"))
        self.line.setWhatsThis(
            tr(
                "Type words for what you want to do or set. Arrow keys choose, Enter runs the command or opens the field."
            )
        )
        self.line.setClearButtonEnabled(True)
        self.line.installEventFilter(self)
        self.list = QTreeWidget()
        self.list.setHeaderLabels([tr("Command or setting"), tr("Keys")])
        self.list.setRootIsDecorated(False)
        keep_whole_in_tips(self.list)  # the menu is named last
        self.list.setUniformRowHeights(True)
        self.list.setAccessibleName(tr("Matching commands and settings"))
        self.list.setWhatsThis(tr("Commands that are not available now are grey."))
        self.list.header().setStretchLastSection(False)
        self.list.header().setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self.list.header().setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        self.help = QLabel()
        self.help.setWordWrap(True)
        self.help.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.help.setMinimumHeight(3 * self.help.fontMetrics().lineSpacing())
        column = QVBoxLayout(self)
        for widget in (self.line, self.list, self.help):
            column.addWidget(widget)
        self.line.textChanged.connect(self.fill)
        self.list.currentItemChanged.connect(self._explain)
        self.list.itemActivated.connect(self._choose)
        letter, row = self.fontMetrics().averageCharWidth(), self.fontMetrics().lineSpacing()
        resize_within_screen(self, LETTERS_WIDE * letter, (ROWS_HIGH + 6) * row)
        self.fill()

    def fill(self) -> None:
        """Lists the matches, with the best one selected."""
        self.list.clear()
        typed = self.line.text()
        for number in best(typed, self._texts if typed.strip() else self._texts[: self._commands]):
            entry = self._entries[number]
            keys = tr("field")
            if isinstance(entry, QAction):
                keys = entry.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
            item = QTreeWidgetItem([self._texts[number][0], keys])
            item.setData(0, NUMBER, number)
            if not self._is_available(number):
                for column in range(2):
                    item.setForeground(column, self.palette().placeholderText())
            self.list.addTopLevelItem(item)
        if (best_item := self.list.topLevelItem(0)) is not None:
            self.list.setCurrentItem(best_item)
        self._explain()

    def _explain(self) -> None:
        item = self.list.currentItem()
        if item is None:
            self.help.setText(tr("No command or setting matches these words."))
            return
        number = item.data(0, NUMBER)
        note = "" if self._is_available(number) else " " + tr("Not available just now.")
        self.help.setText(self._texts[number][1] + note)

    def _choose(self) -> None:
        item = self.list.currentItem()
        if item is not None and self._is_available(item.data(0, NUMBER)):
            self.chosen = self._entries[item.data(0, NUMBER)]
            self.accept()

    def _is_available(self, number: int) -> bool:
        entry = self._entries[number]
        return entry.isEnabled() if isinstance(entry, QAction) else True

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """The arrow keys move through the list while words are typed."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress and watched is self.line:
            if event.key() in LIST_KEYS:
                self.list.event(event)
                return True
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self._choose()
                return True
        return super().eventFilter(watched, event)


def find_command(parts: WindowParts, declared: Sequence[Action]) -> None:
    """Shows the search, then executes the chosen command or opens the chosen field."""
    dialog = CommandSearch(parts.widget, declared, parts.actions, fields_of(parts.models))
    dialog.exec()
    chosen = dialog.chosen
    dialog.deleteLater()
    if isinstance(chosen, QAction):
        chosen.trigger()
    elif chosen is not None:
        parts.start.show_wall()
        parts.models.selection.select(chosen.item)
        parts.properties.show_field(chosen.path)
