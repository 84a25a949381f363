"""The start page instead of the wall: opening or editing anything leaves it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QStackedWidget, QWidget

from wallwright.document.document import Document
from wallwright.window.model.host import FileActions
from wallwright.window.model.models import Models

if TYPE_CHECKING:
    from wallwright.window.features.start.start_page import StartPage


class StartFeature(QObject):
    """Shows one of two pages: the wall, or the start page, which is made when it is first wanted."""

    changed = Signal()
    """The other page is shown."""

    def __init__(self, models: Models, files: FileActions, pages: QStackedWidget, wall: QWidget) -> None:
        """pages: holds the wall as its first page. wall: what takes the keys there."""
        super().__init__(pages)
        self._models, self._files, self._pages, self._wall = models, files, pages, wall
        self.page: StartPage | None = None
        models.project.changed.connect(self.show_wall)

    @property
    def is_shown(self) -> bool:
        """Whether the start page is shown instead of the wall."""
        return self.page is not None and self._pages.currentWidget() is self.page

    def show(self) -> None:
        """Shows the start page. The project stays as it is, and the page leads back to it."""
        if not self._models.project.is_dirty:
            self._files.keep_picture()  # the list of recent projects is shown next
        if self.page is None:
            self.page = self._make()
        else:
            self.page.fill()
        project = self._models.project
        is_blank = project.path is None and not project.document.placements and not project.is_dirty
        self.page.offer_back("" if is_blank else project.name)
        self._pages.setCurrentWidget(self.page)
        self.changed.emit()
        self.page.demo_button.setFocus()

    def begin(self) -> None:
        """Shows the start page for a new project: its first question has the keys."""
        self.show()
        if self.page is not None:
            self.page.guide.show_page(0)
            self.page.guide.next.setFocus()

    def show_wall(self) -> None:
        """Leaves the start page."""
        if self.is_shown:
            self._pages.setCurrentIndex(0)
            self.changed.emit()
            self._wall.setFocus()

    def _begin(self, document: Document, artwork: tuple[Path, ...], has_demo: bool, photo: Path | None) -> None:
        """Shows the project that the guide describes, unless the person would rather keep the present one."""
        before = self._models.project.document
        self._files.begin(document, artwork, has_demo)
        if photo is not None and self._models.project.document is not before:
            self._models.imports.add_photo(photo)

    def _make(self) -> StartPage:
        from wallwright.window.features.start.start_page import StartPage  # the window opens sooner without

        page, files = StartPage(), self._files
        page.demo.connect(files.demo)
        page.open.connect(files.open)
        page.example.connect(files.example)
        page.open_path.connect(files.open_recent)
        page.recover.connect(files.recover)
        page.back.connect(self.show_wall)
        page.guide.made.connect(self._begin)
        page.guide.refused.connect(self._models.messages.say)
        self._pages.addWidget(page)
        return page
