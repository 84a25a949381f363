"""Reading the friction figure from a photo: shows what was found in it, and lets the person put it right."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QComboBox, QDialog, QDialogButtonBox, QHBoxLayout, QLabel, QVBoxLayout, QWidget

from wallwright.artwork.raster.raster import Pixels
from wallwright.document.arrays import Points
from wallwright.document.document import Document
from wallwright.document.errors import BadValue, Cancelled
from wallwright.document.language import tr, unbroken_units
from wallwright.planning.comb_search import proposed_corners
from wallwright.planning.friction_figure import LINE_PLACES, Comb, figure_combs
from wallwright.planning.friction_photo import (
    FrictionPhotoReading,
    corner_places,
    map_of,
    photo_pixels,
    read_photo,
    with_friction_read,
)
from wallwright.planning.photo_map import PhotoMap
from wallwright.window.features.guide.feature import add_help_button
from wallwright.window.features.pens.photo_view import PhotoLines, PhotoView
from wallwright.window.features.pens.reading_page import friction_text
from wallwright.window.model.background_work import BackgroundWork
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.screen_size import resize_within_screen
from wallwright.window.widgets.theme import Kind, as_kind

LABEL = 9.0
"""mm from the last line of a comb to the middle of its name."""
SHARE = 0.8
"""Of the photo, that the figure covers where nobody knows where it is."""
WIDTH, HEIGHT = 1000, 760


class PhotoWork(BackgroundWork):
    """One thing that takes a while, which ends soon when nobody is interested any more."""

    def __init__(self, function: Callable[[Callable[[float], None]], object], parent: QObject) -> None:
        """function: calls what it gets now and then; what that raises ends it."""
        super().__init__(parent)
        self._function, self._is_wanted = function, True
        self.result: object = None

    def work(self) -> None:
        with contextlib.suppress(Cancelled):
            self.result = self._function(self._progress)

    def _progress(self, done: float) -> None:
        if not self._is_wanted:
            raise Cancelled

    def abandon(self) -> None:
        super().abandon()
        self._is_wanted = False


class FrictionPhotoDialog(QDialog):
    """One photo. After it was accepted, `reading` has what was read."""

    def __init__(self, document: Document, hanging: int, path: Path, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._hanging, self._path = document, hanging, path
        self._every = figure_combs(document, hanging)
        self._pixels: Pixels | None = None
        self.reading: FrictionPhotoReading | None = None
        self.setWindowTitle(tr("Read distances from a photo"))
        self.view = PhotoView()
        self.view.moving.connect(self._show_expected)
        self.view.moved.connect(self._read)
        note = QLabel(
            unbroken_units(
                tr(
                    "Blue lines must lie on the drawn lines. If they do not, drag the four marks to the ends of lines, as "
                    "the dashed figure shows, and let go."
                )
            )
        )
        note.setWordWrap(True)
        self.pens = QComboBox()
        explain(self.pens, tr("Which pens' combs the photo shows."), tr("Pens in the photo"))
        names = {comb.pen: document.pens[comb.pen].name for comb in self._every}
        if len(names) > 1:
            self.pens.addItem(tr("All pens"), -1)
        for pen, name in names.items():
            self.pens.addItem(name, pen)
        self.pens.activated.connect(self._search)
        self.message = QLabel()
        self.message.setWordWrap(True)
        self.message.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.message.setMinimumHeight(3 * self.message.fontMetrics().lineSpacing())
        self.message.setAlignment(Qt.AlignmentFlag.AlignTop)
        buttons = QDialogButtonBox()
        self.use = buttons.addButton(tr("Use these distances"), QDialogButtonBox.ButtonRole.AcceptRole)
        as_kind(self.use, Kind.PRIMARY)
        explain(self.use, tr("Enters the distances on the page. You can still change them there."))
        buttons.addButton(QDialogButtonBox.StandardButton.Cancel)
        add_help_button(buttons, "pens")
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        row = QHBoxLayout()
        label = QLabel(tr("Pens in the photo"))
        label.setBuddy(self.pens)
        row.addWidget(label)
        row.addWidget(self.pens)
        row.addWidget(note, 1)
        column = QVBoxLayout(self)
        column.addLayout(row)
        column.addWidget(self.view, 1)
        column.addWidget(self.message)
        column.addWidget(buttons)
        self._work: PhotoWork | None = None
        self._say(tr("Looking for the figure…"))
        self._start(lambda progress: photo_pixels(path, progress), self._take_photo)
        resize_within_screen(self, WIDTH, HEIGHT)

    @property
    def combs(self) -> tuple[Comb, ...]:
        """Those that the photo shows."""
        pen = self.pens.currentData()
        return tuple(comb for comb in self._every if pen in (-1, comb.pen))

    def _start(self, function: Callable[[Callable[[float], None]], object], take: Callable[[object], None]) -> None:
        """In place of what is under way. take: gets the result."""
        self.reading = None
        self.use.setEnabled(False)
        self._abandon()
        self._work = work = PhotoWork(function, self)

        def finish() -> None:
            if work.trouble:
                self._say(f"{work.trouble.rstrip('.')}.")
            else:
                take(work.result)

        work.finished.connect(finish)
        work.start()

    def _abandon(self) -> None:
        if self._work is not None:
            self._work.abandon()

    def done(self, result: int) -> None:
        self._abandon()
        super().done(result)

    def _take_photo(self, pixels: object) -> None:
        assert isinstance(pixels, np.ndarray), "the worker read a photo"
        self._pixels = pixels
        self.view.show_photo(pixels)
        self._search()

    def _search(self) -> None:
        """Proposes where the figure is."""
        pixels, combs = self._pixels, self.combs
        if pixels is None:
            return
        self._say(tr("Looking for the figure…"))
        self.view.show_lines(PhotoLines())
        self._start(lambda progress: proposed_corners(pixels, combs, progress), self._take_proposal)

    def _take_proposal(self, corners: object) -> None:
        if isinstance(corners, np.ndarray):
            self.view.show_marks(corners)
            self._show_expected()
            self._read()
            return
        assert self._pixels is not None, "it was searched"
        self.view.show_marks(_in_the_middle(self._pixels, self.combs))
        self._show_expected()
        self._say(tr("The figure was not found. Drag the four marks to the ends of lines, as the dashed figure shows."))

    def _show_expected(self) -> None:
        """The figure between the marks."""
        assert self._pixels is not None, "there are marks"
        try:
            expected = map_of(self._pixels, self.combs, self.view.marks)
            self.view.show_lines(
                PhotoLines(
                    [expected.to_photo(comb.path) for comb in self.combs],
                    labels=[self._label(comb, expected) for comb in self.combs],
                )
            )
        except BadValue:  # the marks are no quadrilateral; reading says so
            self.view.show_lines(PhotoLines())

    def _read(self) -> None:
        pixels, combs, marks = self._pixels, self.combs, self.view.marks.copy()
        if pixels is None or not len(marks):
            return
        self._say(tr("Reading the lines…"))
        self._start(lambda progress: read_photo(pixels, self._document, combs, marks, progress), self._take_reading)

    def _take_reading(self, reading: object) -> None:
        assert isinstance(reading, FrictionPhotoReading), "the worker read the lines"
        self.reading = reading
        shown = reading.photo_map
        self.view.show_marks(shown.to_photo(corner_places(self.combs)))
        self.view.show_lines(
            PhotoLines(
                [line for comb in reading.combs for line in reading.lines(comb)],
                True,
                [self._label(comb.comb, shown) for comb in reading.combs],
            )
        )
        self.use.setEnabled(True)
        self._say(self._result(reading))

    def _label(self, comb: Comb, photo_map: PhotoMap) -> tuple[tuple[float, float], str]:
        """Beside the last line of a comb."""
        name = self._document.pens[comb.pen].name
        ((x, y),) = photo_map.to_photo(comb.places(np.zeros(1), LINE_PLACES[-1:] + LABEL)).tolist()
        return (x, y), f"{name} {comb.number + 1}"

    def _result(self, reading: FrictionPhotoReading) -> str:
        """What follows from a photo."""
        worst = max(comb.uncertainty for comb in reading.combs)
        known = tr("Uncertainty of distances: {0:.2f} mm, at {1:.1f} pixels per mm.", worst, reading.pixels_per_mm)
        try:
            found = with_friction_read(self._document, self._hanging, reading)
        except BadValue as trouble:
            return f"{known} {str(trouble).rstrip('.')}."
        pens = sorted({comb.comb.pen for comb in reading.combs})
        return tr("Friction: {0}", " ".join(friction_text(found.pens[number]) for number in pens)) + f" {known}"

    def _say(self, text: str) -> None:
        self.message.setText(unbroken_units(text))


def _in_the_middle(pixels: Pixels, combs: tuple[Comb, ...]) -> Points:
    """(4, 2) pixels of the figure's corners, upright in the middle of a photo."""
    ends = np.vstack([comb.path for comb in combs])
    size = np.array([pixels.shape[1], pixels.shape[0]], dtype=float)
    low, high = ends.min(axis=0), ends.max(axis=0)
    scale = SHARE * float((size / (high - low)).min())
    placed: Points = size / 2 + (corner_places(combs) - (low + high) / 2) * scale
    return placed
