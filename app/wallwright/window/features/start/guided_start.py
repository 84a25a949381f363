"""The guided start: wall, anchors, machine, pens and artwork, each seen at once in a picture; all of it can be skipped."""

from __future__ import annotations

from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import QSizeF, Qt, QTimer, Signal
from PySide6.QtGui import QImage
from PySide6.QtWidgets import (
    QBoxLayout,
    QButtonGroup,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from wallwright.document.document import Document
from wallwright.document.edits import replace
from wallwright.document.errors import BadValue, UserError
from wallwright.document.language import tr, unbroken_units
from wallwright.document.origin import height_text
from wallwright.document.placing import WHOLE_PAGE
from wallwright.document.saved_presets import SavedPresets, read_presets
from wallwright.document.start_answers import StartAnswers, read_answers, write_answers
from wallwright.jobs.checks import Remedy
from wallwright.statics.limits import TORQUE_RESERVE
from wallwright.window.features.start.guided_start_pages import (
    AnchorsPage,
    GuidedStartPage,
    MachinePage,
    WallPage,
)
from wallwright.window.features.start.guided_start_pens import PensPage
from wallwright.window.features.start.guided_start_picture import (
    ANCHOR,
    USUAL_SHAPE,
    GuidedStartPicture,
    drawn_part,
    picture_of_artwork,
)
from wallwright.window.panels.check_row import REMEDIES
from wallwright.window.widgets.explain import explain
from wallwright.window.widgets.theme import CLOSE, NEAR, WIDE, Kind, as_kind

if TYPE_CHECKING:
    from wallwright.window.model.start_proposal import StartSketch

PAGES = 4
LONG_WALL = 1 / 3
"""Of a long wall's width, one hanging draws a smaller share."""
Page = TypeVar("Page", bound=GuidedStartPage)
LOOK_AFTER_MS = 150
"""After a number was entered."""


class GuidedStart(QFrame):
    """Emits `made` with an empty project, the artwork files to bring, whether to bring the demo's drawing, and the path of a
    photo of the wall or None."""

    made = Signal(object, tuple, bool, object)
    refused = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("card")
        self.answers = StartAnswers()
        self._photo: Path | None = None
        self._file: Path | None = None
        self._has_demo = False
        self._typed: set[str] = set()
        """Anchor numbers that the person has entered. The distance follows wall and machine until it is entered."""
        self._image, self._shape, self._part = QImage(), USUAL_SHAPE, WHOLE_PAGE
        self._presets = SavedPresets()
        self._made: dict[int, GuidedStartPage] = {}
        self._shown = 0
        self._page_place = QVBoxLayout()
        self.picture = GuidedStartPicture()
        self.message = QLabel()
        self.message.setWordWrap(True)
        self.message.setMinimumHeight(3 * self.message.fontMetrics().lineSpacing())
        self.message.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.message.setIndent(round(ANCHOR) + 1)
        pages = QVBoxLayout()
        pages.setSpacing(NEAR)
        pages.addLayout(self._step_row())
        pages.addLayout(self._page_place, 1)
        pages.addLayout(self._button_row())
        seen = QVBoxLayout()
        seen.addWidget(self.picture)
        seen.addWidget(self.message)
        seen.addStretch(1)
        self._halves = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._halves.setContentsMargins(WIDE, WIDE, WIDE, WIDE)
        self._halves.setSpacing(WIDE)
        self._halves.addLayout(pages, 1)
        self._halves.addLayout(seen, 1)
        self._soon = QTimer(self, singleShot=True, interval=LOOK_AFTER_MS)
        self._soon.timeout.connect(self.look)
        self.picture.appeared.connect(self.look)
        self.picture.opening_dragged.connect(lambda *drag: self.wall.move_opening(*drag))
        self.fill()
        self.show_page(0)

    def fit(self, width: int) -> None:
        """Puts the picture beside the pages, or below them where a width in pixels is too small for both."""
        items = (self._halves.itemAt(k) for k in range(self._halves.count()))
        both = sum(item.minimumSize().width() for item in items if item is not None) + 3 * WIDE
        is_beside = both <= width
        self._halves.setDirection(QBoxLayout.Direction.LeftToRight if is_beside else QBoxLayout.Direction.TopToBottom)
        self._halves.setStretch(0, 1 if is_beside else 0)

    @cached_property
    def wall(self) -> WallPage:
        page = WallPage()
        page.offer(self._presets)
        page.photo_chosen.connect(self._choose_photo)
        return self._add(0, page)

    @cached_property
    def anchors(self) -> AnchorsPage:
        page = AnchorsPage()
        page.proposal_wanted.connect(self._propose)
        return self._add(1, page)

    @cached_property
    def machine(self) -> MachinePage:
        page = MachinePage()
        page.offer(self._presets)
        return self._add(2, page)

    @cached_property
    def pens(self) -> PensPage:
        page = PensPage()
        page.artwork_chosen.connect(self._choose_artwork)
        page.demo_chosen.connect(self._choose_demo)
        return self._add(3, page)

    def _add(self, number: int, page: Page) -> Page:
        self._made[number] = page
        self._page_place.addWidget(page)
        page.show_answers(self.answers)
        page.answered.connect(self._answer)
        page.refused.connect(self.refused)
        return page

    def _step_row(self) -> QHBoxLayout:
        """The pages by name; any of them is a click away."""
        row, self._steps = QHBoxLayout(), QButtonGroup(self)
        row.setSpacing(CLOSE // 2)
        for number, title in enumerate((tr("Wall"), tr("Anchors"), tr("Machine"), tr("Pens and artwork"))):
            button = as_kind(QPushButton(f"{number + 1}  {title}"), Kind.QUIET)
            button.setCheckable(True)
            explain(button, tr("Goes to this page. No page must be filled in: usual values are there."), title)
            self._steps.addButton(button, number)
            row.addWidget(button)
        row.addStretch(1)
        self._steps.idClicked.connect(self.show_page)
        return row

    def _button_row(self) -> QHBoxLayout:
        self.back, self.next = QPushButton(tr("Bac&k")), QPushButton(tr("Ne&xt"))
        explain(self.back, tr("Goes to the page before."))
        explain(self.next, tr("Goes to the next page."))
        self.back.clicked.connect(lambda: self.show_page(self._shown - 1))
        self.next.clicked.connect(lambda: self.show_page(self._shown + 1))
        self.make = QPushButton(tr("&Create project"))
        explain(self.make, tr("Opens the project. Planning and checks start automatically."))
        self.make.clicked.connect(self._make)
        row = QHBoxLayout()
        row.setSpacing(CLOSE)
        row.addWidget(self.back)
        row.addStretch(1)
        row.addWidget(self.make)
        row.addWidget(self.next)
        return row

    def show_page(self, number: int) -> None:
        """Shows a page. The main button is the one that most people want there."""
        page = (lambda: self.wall, lambda: self.anchors, lambda: self.machine, lambda: self.pens)[number]()
        self._shown = number
        for other in self._made.values():  # not a stack, in which a tall page would make the others as tall
            other.setVisible(other is page)
        button = self._steps.button(number)
        button.setChecked(True)
        is_last = number == PAGES - 1
        self.back.setEnabled(number > 0)
        self.next.setVisible(not is_last)
        for main, is_main in ((self.next, not is_last), (self.make, is_last)):
            main.setProperty("kind", Kind.PRIMARY.value if is_main else "")
            main.style().unpolish(main)
            main.style().polish(main)

    def fill(self) -> None:
        """Reads what was saved and answered before, and shows it."""
        try:
            self._presets = read_presets()
        except UserError as trouble:
            self.refused.emit(str(trouble))
            self._presets = SavedPresets()
        for page in self._made.values():
            if isinstance(page, WallPage | MachinePage):
                page.offer(self._presets)
            page.forget_files()
        self._photo, self._file, self._has_demo = None, None, False
        self._image, self._shape, self._part = QImage(), USUAL_SHAPE, WHOLE_PAGE
        self._typed = set()
        self._show(read_answers())

    # What is answered.

    def _answer(self, answers: StartAnswers) -> None:
        self._show(self._with_anchors(answers))

    def _with_anchors(self, answers: StartAnswers) -> StartAnswers:
        """Returns answers with anchors that suit another wall or machine, unless the person has entered their distance."""
        before, now = self.answers, answers
        for name in ("distance", "drop"):
            if getattr(before.wall, name) != getattr(now.wall, name):
                self._typed.add(name)
        is_same = before.machine == now.machine and before.openings == now.openings and before.wall == now.wall
        if "distance" in self._typed or answers.saved_wall or is_same:
            return answers
        try:
            return self._proposed(answers)
        except BadValue:  # no anchors do: the picture says so
            return answers

    def _proposed(self, answers: StartAnswers) -> StartAnswers:
        from wallwright.window.model.start_proposal import proposed_wall  # slow to import: not before it is wanted

        return replace(answers, wall=proposed_wall(answers, "drop" in self._typed))

    def _show(self, answers: StartAnswers) -> None:
        self.answers = answers
        self.picture.can_drag = answers.saved_wall is None
        for page in self._made.values():
            page.show_answers(answers)
        if self.picture.is_seen:  # before, looking would only keep the page from being painted
            self._soon.start()

    def _choose_photo(self, file: Path) -> None:
        self._photo = file

    def _choose_artwork(self, file: Path | None) -> None:
        self._file, self._has_demo = file, False
        self._image, self._shape = picture_of_artwork(file)
        self._part = drawn_part(self._image)
        self._soon.start()

    def _choose_demo(self) -> None:
        from wallwright.planning.demo import ARTWORK, NATURAL

        self._file, self._has_demo = None, True
        self._image, _ = picture_of_artwork(Path(str(ARTWORK)))
        self._shape, self._part = QSizeF(*NATURAL), WHOLE_PAGE
        self.pens.show_artwork(ARTWORK.name)
        self._soon.start()

    def _propose(self) -> None:
        """Proposes the best anchors and shows the result. From now on they follow wall and machine again."""
        self._typed.discard("distance")
        before = self.answers.wall
        try:
            answers = self._proposed(self.answers)
        except BadValue as trouble:
            self.anchors.say(f"{trouble}.")
            return
        self._show(answers)
        now = answers.wall
        is_same = (before.distance, before.drop) == (now.distance, now.drop)
        self.anchors.say(
            tr("These are already the best anchors for this wall and machine.")
            if is_same
            else tr("Now {0:g} mm apart and {1:g} mm below the ceiling.", now.distance, now.drop)
        )

    def document(self) -> Document:
        """The project that the answers describe, its pens from light to dark. Raises BadValue when they do not fit
        together."""
        from wallwright.planning.pen_order import light_to_dark  # slow to import: not before the page is on screen

        if 3 in self._made and self.pens.is_without_pen:
            raise BadValue(tr("Tick at least one pen"))
        document = self.answers.document()
        return replace(document, pens=tuple(document.pens[number] for number in light_to_dark(document)))

    def _make(self) -> None:
        try:
            document = self.document()
        except BadValue as trouble:
            self.refused.emit(f"{trouble}.")
            return
        try:
            write_answers(self.answers)
        except UserError as trouble:
            self.refused.emit(str(trouble))
        title = self.make.text()
        self.make.setText(tr("Creating…"))
        self.make.repaint()  # at once: the wall needs a moment
        self.made.emit(document, (self._file,) if self._file is not None else (), self._has_demo, self._photo)
        self.make.setText(title)

    # The picture.

    def look(self) -> None:
        """Shows the wall that the answers give, where the machine can draw on it, and how large the artwork will be."""
        from wallwright.window.model.start_proposal import sketch_of  # slow to import: not before the page is on screen

        try:
            document = self.document()
        except BadValue as trouble:
            self.message.setText(f"{trouble}.")
            self.make.setEnabled(False)
            self.picture.show_nothing()
            return
        sketch = sketch_of(document, self._shape.height() / self._shape.width(), self._part)
        wall, hanging = document.wall, document.hangings[0]
        self.picture.show_wall(wall, hanging, sketch.edges, sketch.reserve_edges, sketch.box, self._image)
        self.make.setEnabled(True)
        sentences = said_of_sketch(sketch, not self._image.isNull())
        if sketch.box is not None:
            sentences.append(tr("Anchors: {0}.", height_text(document, hanging.left.y)))
        sentences += said_of_long_walls(sketch, wall.width)
        self.message.setText(unbroken_units(" ".join(sentences)))


def said_of_long_walls(sketch: StartSketch, width: float) -> list[str]:
    """Returns advice on wider artwork if a wall of a width, mm, has room for it, for artwork that is wider than high; other
    artwork gets too high first."""
    if sketch.drawn is None:
        return []
    left, top, right, bottom = sketch.drawn
    if right - left >= LONG_WALL * width or right - left <= bottom - top:
        return []
    button = tr(REMEDIES[Remedy.COVER_ARTWORK].title)
    return [tr("Wider artwork is drawn in parts: enlarge it in the project, then choose “{0}”.", button)]


def said_of_sketch(sketch: StartSketch, has_picture: bool) -> list[str]:
    """Returns sentences on the picture and on what limits its size. has_picture: whether the person has chosen artwork."""
    if sketch.limits:
        return [
            tr("This machine cannot draw anywhere on this wall: {0}.", sketch.limits),
            tr("Change the anchors or the machine, here or later in the project."),
        ]
    if sketch.drawn is None:
        return [
            tr("The machine can draw within the light area, but hardly any artwork fits there."),
            tr("Change the anchors or the machine, here or later in the project."),
        ]
    left, top, right, bottom = sketch.drawn
    size = (right - left) / 1000, (bottom - top) / 1000
    said = [
        tr("The machine can draw within the light area. Your picture fits at {0:.2f} by {1:.2f} m.", *size)
        if has_picture
        else tr("The machine can draw within the light area. A picture of {0:.1f} by {1:.1f} m fits.", *size)
    ]
    if not sketch.has_reserve:
        said.append(
            tr(
                "Nowhere do the motors have the recommended reserve ({0} times the pull needed). A lighter body, more "
                "motor current or closer anchors help.",
                TORQUE_RESERVE,
            )
        )
    elif sketch.reserve_edges:
        said.append(
            tr(
                "Only within the dashed line do the motors have enough reserve ({0} times the pull needed); artwork is "
                "placed there. For a larger picture: a lighter body, more motor current or closer anchors.",
                TORQUE_RESERVE,
            )
        )
    return said
