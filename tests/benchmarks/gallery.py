"""Gallery of the real window: every page, dialog and state, by size, language, light and dark, 100 and 200 %.

    python tests/benchmarks/gallery.py OUT [--sizes 1366x768,1920x1080] [--languages en,de] [--schemes light,dark]
                                           [--scales 1,2] [--states start,plan,...]

OUT gets pictures named LANGUAGE-SCHEME-SCALE-SIZE-STATE.png, and a contact sheet of all states for each combination.
Sizes are reduced by a task bar of 48 and a title bar of 36 pixels. Scale 2 is text of 200 %; --fine also paints two pixels
per logical one, to judge sharpness.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
BARS = 48 + 36
"""Height of task bar and title bar, pixels."""
SIZES, LANGUAGES, SCHEMES, SCALES = "1366x768,1920x1080", "en,de", "light,dark", "1,2"
PLAN_S = 120.0
"""Timeout of planning, s."""
THUMB, ACROSS, LINE = 460, 4, 22
"""Contact sheet: width of a picture, pixels; pictures in a row; height of a title, pixels."""


@dataclass
class Stage:
    """The window being photographed."""

    window: object
    out: Path
    prefix: str
    size: tuple[int, int]

    def spin(self, seconds: float = 0.35, until: Callable[[], bool] = lambda: False) -> None:
        from PySide6.QtWidgets import QApplication

        end = time.monotonic() + seconds
        while time.monotonic() < end and not until():
            QApplication.processEvents()
            time.sleep(0.01)

    def plan(self) -> None:
        """Plans and waits until all ink is painted."""
        planning = self.window.models.planning
        planning.plan_now()
        self.spin(PLAN_S, lambda: not planning.plan_is_stale and not planning.is_planning)
        self.spin(10.0, lambda: self.window.canvas.ink.is_complete)

    def show(self, document) -> None:
        self.window.models.project.load(document, None)
        self.spin(0.2)
        self.window.canvas.fit()
        self.plan()

    def grab(self, name: str, widget=None) -> None:
        self.spin()
        (widget or self.window).grab().save(str(self.out / f"{self.prefix}-{name}.png"))

    def dialog(self, name: str, dialog, wait: float = 0.5, until: Callable[[], bool] = lambda: False) -> None:
        from PySide6.QtCore import QSize

        dialog.show()
        dialog.resize(dialog.size().boundedTo(QSize(*self.size)))
        self.spin(wait, until)
        self.grab(name, dialog)
        self.discard(dialog)

    def discard(self, dialog) -> None:
        """Closes and deletes a dialog, which would otherwise keep requesting plans."""
        import shiboken6

        dialog.close()
        shiboken6.delete(dialog)  # deleteLater() would wait for an event loop


def _figure_photo(document) -> bytes:
    """Returns a photo of the friction figure of all pens, drawn without friction."""
    from PIL import ImageColor

    from tests.support.figure_photos import Camera, photo
    from wallwright.planning.friction_figure import figure_combs

    combs = figure_combs(document, 0)
    layers = []
    for number in sorted({comb.pen for comb in combs}):
        pen = document.pens[number]
        paths = [comb.path for comb in combs if comb.pen == number]
        layers.append((paths, pen.width, ImageColor.getrgb(pen.colour)))
    middle = sum(comb.middle[0] for comb in combs) / len(combs), sum(comb.middle[1] for comb in combs) / len(combs)
    return photo(layers, middle, Camera(pan=0.1, scale=4.2, size=(1100, 1900)))


def _states() -> dict[str, Callable[[Stage], None]]:
    """Returns the states in order: each begins where the previous one ended."""
    from tests.support.drawings import yard_document
    from wallwright.document import edits, edits_arrangement, edits_photo
    from wallwright.document.continuation import StrokePlace
    from wallwright.document.controller import Controller
    from wallwright.document.document import Document
    from wallwright.document.language import tr
    from wallwright.document.picture import STYLES
    from wallwright.document.project import write_project
    from wallwright.planning.demo import demo_document
    from wallwright.window.features.anchor_advice.dialog import AnchorAdviceDialog
    from wallwright.window.features.calibration.wizard import CalibrationWizard
    from wallwright.window.features.continue_job.dialog import ContinueDialog
    from wallwright.window.features.controller.dialog import ControllerDialog
    from wallwright.window.features.export.dialog import ExportDialog
    from wallwright.window.features.export.sheet_view import SheetView
    from wallwright.window.features.pens.measure_dialog import MeasurePensDialog
    from wallwright.window.features.pens.photo_dialog import FrictionPhotoDialog
    from wallwright.window.features.proof.dialog import ProofDialog
    from wallwright.window.features.register_marks.dialog import LineUpDialog
    from wallwright.window.features.screen_scale.measure_dialog import MeasureScreen
    from wallwright.window.model.items import (
        MACHINE,
        PHOTO,
        WALL,
        HangingItem,
        KeepOutItem,
        PartItem,
        PenItem,
        PlacementItem,
    )
    from wallwright.window.model.settings import remember
    from wallwright.window.shell.actions import ACTIONS
    from wallwright.window.shell.command_search import CommandSearch
    from wallwright.window.shell.field_search import fields_of
    from wallwright.window.widgets.picture_choice import PictureChoice

    art = PlacementItem("placement-1")

    def start(stage: Stage) -> None:
        stage.window.parts.start.show()
        guide = stage.window.parts.start.page.guide
        guide.look()
        stage.grab("start")
        for number, name in enumerate(("anchors", "machine", "pens"), 1):
            guide.show_page(number)
            stage.grab(f"start-{name}")
        guide.show_page(0)
        for name in ("harbour", "a project with a long name"):
            write_project(stage.out / ".projects" / f"{name}.wallwright", demo_document())
            remember(stage.out / ".projects" / f"{name}.wallwright")
        stage.window.parts.start.show()
        stage.spin(1.0)
        stage.grab("start-recent")
        stage.window.parts.start.show_wall()

    def empty(stage: Stage) -> None:
        stage.window.files.begin(Document(), (), False)
        stage.spin(1.0)
        stage.window.canvas.fit()
        stage.grab("empty")

    def plan(stage: Stage) -> None:
        stage.show(demo_document())
        stage.grab("plan")

    def selected(stage: Stage) -> None:
        for name, item in (
            ("wall", WALL),
            ("machine", MACHINE),
            ("hanging", HangingItem(0)),
            ("pen", PenItem("black")),
            ("keep-out", KeepOutItem(0)),
            ("artwork", art),
            ("part", PartItem("placement-1", "#c02020")),
        ):
            stage.window.models.selection.select(item)
            stage.grab(f"page-{name}")
        area = stage.window.properties.verticalScrollBar()
        stage.window.models.selection.select(art)
        stage.spin()
        area.setValue(area.maximum())
        stage.grab("page-artwork-colours")

    def play(stage: Stage) -> None:
        stage.window.strip.player.seek(600.0)
        stage.grab("play")
        stage.window.strip.plots.setChecked(True)
        stage.spin(1.5)
        stage.grab("plots", stage.window.strip._plots)
        stage.window.strip.plots.setChecked(False)
        stage.window.strip.player.seek(stage.window.strip.player.length)

    def maps(stage: Stage) -> None:
        stage.window.canvas.show_zone("lowest tension")
        stage.spin(1.0)
        stage.grab("map")
        stage.window.canvas.show_zone("outline")

    def message(stage: Stage) -> None:
        stage.window.models.messages.say_files("The job is somewhere. " * 5, [stage.out / "sheet.pdf"])
        stage.grab("message")
        stage.window.bar.hide()

    def dialogs(stage: Stage) -> None:
        window, models = stage.window, stage.window.models
        if models.planning.fresh_plan is None:
            stage.plan()
        estimate = models.planning.plan.estimate
        finish = ExportDialog(
            Path("/home/me/harbour-job"),
            Controller(),
            window,
            project=models.project,
            estimate=estimate,
            planning=models.planning,
        )
        sheet = finish.findChild(SheetView)
        stage.dialog("finish", finish, PLAN_S, sheet.message.isHidden)
        search = CommandSearch(window, ACTIONS, window.parts.actions, fields_of(models))
        search.line.setText(tr("Belts"))
        stage.dialog("search", search)
        stage.dialog("measure-screen", MeasureScreen(window))
        stage.dialog("proof", ProofDialog(models, window))
        stage.dialog("measure-pens", MeasurePensDialog(models, window))
        figure = stage.out / ".projects" / "figure.jpg"
        figure.parent.mkdir(exist_ok=True)
        figure.write_bytes(_figure_photo(models.project.document))
        friction = FrictionPhotoDialog(models.project.document, 0, figure, window)
        stage.dialog("friction-photo", friction, PLAN_S, lambda: friction.reading is not None)
        stage.dialog("controller", ControllerDialog(models, window))
        stage.dialog("advice", AnchorAdviceDialog(models, window), 20.0)
        wizard = CalibrationWizard(models, 0, window)
        wizard.show()
        stage.spin(20.0, lambda: wizard.currentPage().isComplete())
        stage.grab("calibration-draw", wizard)
        wizard.next()
        stage.grab("calibration-measure", wizard)
        stage.discard(wizard)
        stage.dialog("continue", ContinueDialog(models, StrokePlace(0, 500.0), window), 3.0)

    def outside(stage: Stage) -> None:
        stage.window.models.selection.select(art)
        document = stage.window.models.project.document
        stage.window.models.project.edit("Move", edits.set_placement(document, "placement-1", x=1500.0))
        stage.plan()
        stage.grab("outside")

    def several(stage: Stage) -> None:
        stage.show(demo_document())
        document, (second,) = edits_arrangement.duplicate_placements(
            stage.window.models.project.document, ["placement-1"]
        )
        stage.window.models.project.edit("Two", document)
        stage.window.models.selection.select(art, PlacementItem(second))
        stage.grab("page-several")
        stage.window.models.project.undo()
        stage.window.parts.actions["hang-right"].trigger()
        stage.plan()
        stage.window.canvas.fit()
        stage.grab("hangings")
        dialog = LineUpDialog(stage.window.models, stage.window.parts.register_marks.marks, stage.window)
        stage.dialog("line-up", dialog)

    def photo(stage: Stage) -> None:
        stage.show(demo_document())
        document = edits_photo.add_photo(demo_document(), "wall.png", "image/png", _photograph(400, 300), (400, 300))
        stage.window.models.project.load(document, None)
        stage.window.models.selection.select(PHOTO)
        stage.plan()
        stage.grab("page-photo")

    def picture(stage: Stage) -> None:
        document = demo_document()
        document = edits.replace(document, placements=(), artworks=())
        document, placed = edits.add_artwork(
            document, "hills.png", "image/png", _photograph(240, 180), (240.0, 180.0), (1000.0, 800.0), 700.0
        )
        stage.show(document)
        stage.window.models.selection.select(PlacementItem(getattr(placed, "id", placed)))
        stage.spin(PLAN_S, lambda: len(stage.window.models.samples.found) == len(STYLES))
        stage.grab("page-picture")
        box = stage.window.findChildren(PictureChoice)[-1]
        box.showPopup()
        stage.grab("styles", box.view().window())
        box.hidePopup()

    def yard(stage: Stage) -> None:
        stage.show(yard_document())
        stage.window.models.selection.select(PlacementItem(stage.window.models.project.document.placements[0].id))
        stage.grab("yard")

    return {f.__name__: f for f in (start, empty, plan, selected, play, maps, message, dialogs, outside, several)} | {
        f.__name__: f for f in (photo, picture, yard)
    }


def _photograph(width: int, height: int) -> bytes:
    """Returns a picture of hills under a sun, as a PNG file."""
    import io

    import numpy as np
    from PIL import Image

    y, x = np.mgrid[:height, :width] / height
    sky = np.stack([0.55 + 0.4 * y, 0.7 + 0.2 * y, 0.95 - 0.1 * y], axis=-1)
    for far, tone in ((0.55, (0.45, 0.6, 0.55)), (0.7, (0.25, 0.45, 0.3)), (0.85, (0.15, 0.25, 0.15))):
        hill = y > far + 0.08 * np.sin(7 * x + 9 * far)
        sky[hill] = tone
    sky[(x - 1.0) ** 2 + (y - 0.22) ** 2 < 0.012] = (0.98, 0.8, 0.25)
    out = io.BytesIO()
    Image.fromarray((255 * sky).astype(np.uint8)).save(out, "PNG")
    return out.getvalue()


def photograph_all(given: argparse.Namespace) -> None:
    """Photographs everything in one scheme and scale, in this process."""
    sys.path.insert(0, str(ROOT))
    from PySide6.QtWidgets import QApplication

    from wallwright.document.new_wall import NewWall, usual_machine
    from wallwright.window.application.language_choice import apply_language
    from wallwright.window.application.window_assembly import ProjectWindow
    from wallwright.window.model.models import Models
    from wallwright.window.model.settings import choose_language
    from wallwright.window.widgets.theme import apply_theme

    application = QApplication([])
    application.setApplicationName("Wallwright")
    font = application.font()
    font.setPointSizeF(font.pointSizeF() * float(given.scales))
    application.setFont(font)
    apply_theme(application, given.schemes == "dark")
    states = _states()
    wanted = [s for s in states if not given.states or s in given.states.split(",")]
    for language in given.languages.split(","):
        choose_language(language)
        apply_language(application)
        for size in given.sizes.split(","):
            width, height = map(int, size.split("x"))
            window = ProjectWindow(Models.of(NewWall().document(usual_machine())))
            prefix = f"{language}-{given.schemes}-{given.scales}-{size}"
            stage = Stage(window, given.out, prefix, (width, height - BARS))
            window.files.may_leave = lambda: True
            window.resize(*stage.size)
            window.show()
            stage.spin(0.5)
            for name in wanted:
                try:
                    states[name](stage)
                except Exception as trouble:  # continue with the others
                    print(f"{prefix}-{name}: {type(trouble).__name__}: {trouble}", flush=True)
                if window.size().toTuple() != stage.size:
                    print(f"{prefix}-{name}: the window is {window.size().toTuple()}", flush=True)
                    window.resize(*stage.size)
            window.models.project.saved = window.models.project.document
            window.close()
            stage.spin(0.2)
            contact_sheet(given.out, prefix)


def contact_sheet(out: Path, prefix: str) -> None:
    """Writes a contact sheet of all pictures with a prefix."""
    from PIL import Image, ImageDraw

    files = sorted((f for f in out.glob(f"{prefix}-*.png")), key=lambda f: f.stat().st_mtime_ns)
    cells = []
    for file in files:
        picture = Image.open(file).convert("RGB")
        share = min(THUMB / picture.width, 1.0)
        small = picture.resize((round(picture.width * share), round(picture.height * share)), Image.Resampling.LANCZOS)
        cells.append((file.stem.removeprefix(f"{prefix}-"), small))
    rows = [cells[i : i + ACROSS] for i in range(0, len(cells), ACROSS)]
    heights = [max(picture.height for _, picture in row) + LINE + 8 for row in rows]
    if not rows:
        return
    sheet = Image.new("RGB", (ACROSS * (THUMB + 8), sum(heights)), "#808080")
    draw, top = ImageDraw.Draw(sheet), 0
    for row, height in zip(rows, heights, strict=True):
        for number, (title, picture) in enumerate(row):
            draw.text((number * (THUMB + 8) + 4, top + 4), title, fill="white")
            sheet.paste(picture, (number * (THUMB + 8) + 4, top + LINE))
        top += height
    sheet.save(out / f"sheet-{prefix}.png")


def _runs(given: argparse.Namespace) -> Iterator[tuple[str, list[str]]]:
    """Yields the screen's size and the options of each process."""
    for size in given.sizes.split(","):
        for scheme in given.schemes.split(","):
            for scale in given.scales.split(","):
                yield size, ["--sizes", size, "--schemes", scheme, "--scales", scale]


def _platform(size: str, folder: Path) -> str:
    """Returns the offscreen platform with a screen of this size, so that dialogs open as large as they would there."""
    width, height = map(int, size.split("x"))
    screen = {"name": "screen", "x": 0, "y": 0, "width": width, "height": height - BARS}
    file = folder / f"{size}.json"
    file.write_text(json.dumps({"screens": [{**screen, "logicalDpi": 96, "logicalBaseDpi": 96, "dpr": 1}]}))
    return f"offscreen:configfile={file}"


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("out", type=Path)
    options.add_argument("--sizes", default=SIZES)
    options.add_argument("--languages", default=LANGUAGES)
    options.add_argument("--schemes", default=SCHEMES)
    options.add_argument("--scales", default=SCALES)
    options.add_argument("--states", default="")
    options.add_argument("--fine", action="store_true")
    options.add_argument("--once", action="store_true")
    given = options.parse_args()
    given.out = given.out.absolute()
    (given.out / ".projects").mkdir(parents=True, exist_ok=True)
    if given.once:
        photograph_all(given)
        return
    shared = ["--languages", given.languages, "--states", given.states, "--once"]
    with tempfile.TemporaryDirectory() as state:
        environment = {**os.environ, "WALLWRIGHT_STATE": state}
        if given.fine:
            environment["QT_SCALE_FACTOR"] = "2"
        for size, run in _runs(given):
            environment["QT_QPA_PLATFORM"] = _platform(size, Path(state))
            subprocess.run([sys.executable, __file__, str(given.out), *run, *shared], env=environment, check=True)
    print(f"{len(list(given.out.glob('*.png')))} pictures in {given.out}")


if __name__ == "__main__":
    main()
