"""The guide's window: chapters and search on the left, the page on the right. Help buttons open it at their page."""

from __future__ import annotations

from PySide6.QtCore import QByteArray, Qt, QUrl
from PySide6.QtGui import (
    QImage,
    QKeySequence,
    QShortcut,
    QTextCharFormat,
    QTextCursor,
    QTextDocument,
    QTextLength,
)
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QTextBrowser,
    QTextEdit,
    QVBoxLayout,
    QWidget,
)

from wallwright.document.guide import LINK, chapters, picture, search
from wallwright.document.language import tr
from wallwright.window.widgets.screen_size import resize_within_screen
from wallwright.window.widgets.whole_text import keep_whole_in_tips

ID = Qt.ItemDataRole.UserRole
WIDEST = 680
"""Logical pixels of a picture. Larger ones are sharp on fine screens."""


class GuidePage(QTextBrowser):
    """Shows one chapter."""

    def __init__(self) -> None:
        super().__init__()
        self.setOpenLinks(False)
        self.setAccessibleName(tr("Page of the guide"))
        self.setWhatsThis(tr("The page of the guide. Links lead to other pages."))

    def loadResource(self, kind: int, name: QUrl | str) -> object:
        """Pictures come from the installed program."""
        if kind == QTextDocument.ResourceType.ImageResource:
            address = name.toString() if isinstance(name, QUrl) else name
            data = picture(address)
            image = QImage.fromData(QByteArray(data)) if data is not None else QImage()
            image.setDevicePixelRatio(max(image.width() / WIDEST, 1.0))
            return image
        return super().loadResource(kind, name)

    def show_text(self, markdown: str) -> None:
        """Shows a chapter; its pictures are never wider than the page."""
        self.setMarkdown(markdown)
        places: list[int] = []
        block = self.document().begin()
        while block.isValid():
            part = block.begin()
            while not part.atEnd():
                if part.fragment().charFormat().isImageFormat():
                    places.append(part.fragment().position())
                part += 1
            block = block.next()
        for place in places:
            cursor = QTextCursor(self.document())
            cursor.setPosition(place)
            cursor.movePosition(QTextCursor.MoveOperation.NextCharacter, QTextCursor.MoveMode.KeepAnchor)
            style = cursor.charFormat().toImageFormat()
            style.setMaximumWidth(QTextLength(QTextLength.Type.PercentageLength, 100))
            cursor.setCharFormat(style)

    def mark(self, words: str) -> None:
        """Marks every place of the words and goes to the first."""
        marks = []
        style = QTextCharFormat()
        style.setBackground(self.palette().highlight())
        style.setForeground(self.palette().highlightedText())
        for word in words.split():
            cursor = self.document().find(word)
            while not cursor.isNull():
                mark = QTextEdit.ExtraSelection()
                mark.cursor, mark.format = cursor, style
                marks.append(mark)
                cursor = self.document().find(word, cursor)
        self.setExtraSelections(marks)
        if marks:
            first = min((mark.cursor for mark in marks), key=QTextCursor.position)
            plain = QTextCursor(first)
            plain.clearSelection()
            self.setTextCursor(plain)


class GuideWindow(QDialog):
    """Stays open beside the program's window."""

    def __init__(self, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("Guide"))
        self.words = QLineEdit(placeholderText=tr("Search the guide"), clearButtonEnabled=True)
        self.words.setAccessibleName(tr("Search the guide"))
        self.words.setWhatsThis(tr("Shows the pages that have all of these words."))
        self.list = QListWidget()
        self.list.setWordWrap(True)
        keep_whole_in_tips(self.list)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setAccessibleName(tr("Pages"))
        self.list.setWhatsThis(tr("The pages of the guide. The number says how often the words are found."))
        self.page = GuidePage()
        self.page.anchorClicked.connect(self._follow)
        self.words.textChanged.connect(self._fill)
        self.list.currentItemChanged.connect(lambda item, _: self._show(item))
        find = QShortcut(QKeySequence(QKeySequence.StandardKey.Find), self)
        find.activated.connect(self.words.setFocus)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        left = QVBoxLayout()
        left.addWidget(self.words)
        left.addWidget(self.list, 1)
        row = QHBoxLayout()
        row.addLayout(left, 1)
        row.addWidget(self.page, 3)
        column = QVBoxLayout(self)
        column.addLayout(row, 1)
        column.addWidget(buttons)
        letter, height = self.fontMetrics().averageCharWidth(), self.fontMetrics().lineSpacing()
        resize_within_screen(self, 150 * letter, 42 * height)
        self._fill("")

    def open_chapter(self, id: str) -> None:
        """Goes to a chapter; the search is left."""
        self.words.clear()
        for row in range(self.list.count()):
            if self.list.item(row).data(ID) == id:
                self.list.setCurrentRow(row)

    def _fill(self, words: str) -> None:
        self.list.clear()
        for chapter, count in search(words):
            item = QListWidgetItem(f"{chapter.title} ({count})" if count else chapter.title)
            item.setData(ID, chapter.id)
            self.list.addItem(item)
        if self.list.count():
            self.list.setCurrentRow(0)
        else:
            self.page.setPlainText(tr("No page has these words. Try fewer or other words."))

    def _show(self, item: QListWidgetItem | None) -> None:
        if item is None:
            return
        chapter = next(one for one in chapters() if one.id == item.data(ID))
        self.page.show_text(chapter.text)
        self.page.mark(self.words.text())

    def _follow(self, link: QUrl) -> None:
        address = link.toString()
        if address.startswith(LINK):
            self.open_chapter(address.removeprefix(LINK))


def show_guide(parent: QWidget, chapter: str = "") -> GuideWindow:
    """Opens the guide, or brings the one that is open to the front. Over a dialog that waits for an answer it belongs to
    that dialog, so that it can be used."""
    guide = next(iter(parent.findChildren(GuideWindow, options=Qt.FindChildOption.FindDirectChildrenOnly)), None)
    if guide is None:
        guide = GuideWindow(parent)
    if chapter:
        guide.open_chapter(chapter)
    guide.show()
    guide.raise_()
    guide.activateWindow()
    return guide


def add_help_button(buttons: QDialogButtonBox, chapter: str) -> None:
    """Adds a Help button that opens the guide at a chapter."""
    button = buttons.addButton(QDialogButtonBox.StandardButton.Help)
    button.setToolTip(tr("Opens the guide at the right page."))
    button.setWhatsThis(button.toolTip())
    button.clicked.connect(lambda: show_guide(button.window(), chapter))
