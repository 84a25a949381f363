"""The parts of one window, for actions and menus."""

from __future__ import annotations

from pathlib import Path

import msgspec
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QWidget

from wallwright.window.canvas.canvas import Canvas
from wallwright.window.features.anchor_advice.feature import AnchorAdviceFeature
from wallwright.window.features.calibration.feature import CalibrationFeature
from wallwright.window.features.continue_job.feature import ContinueFeature
from wallwright.window.features.controller.feature import ControllerFeature
from wallwright.window.features.export.feature import ExportFeature
from wallwright.window.features.generated_artwork.feature import GeneratedArtworkFeature
from wallwright.window.features.pens.feature import PensFeature
from wallwright.window.features.photo.feature import PhotoFeature
from wallwright.window.features.proof.feature import ProofFeature
from wallwright.window.features.register_marks.feature import RegisterMarksFeature
from wallwright.window.features.screen_scale.feature import ScreenScaleFeature
from wallwright.window.features.shorter.feature import ShorterFeature
from wallwright.window.features.start.feature import StartFeature
from wallwright.window.model.host import FileActions, WindowHost
from wallwright.window.model.models import Models
from wallwright.window.panels.checks_panel import ChecksPanel
from wallwright.window.panels.contents import Contents
from wallwright.window.panels.properties import PropertiesPanel
from wallwright.window.shell.action_ids import ActionId
from wallwright.window.shell.edit_commands import EditCommands
from wallwright.window.timeline.time_strip import TimeStrip


class WindowParts(msgspec.Struct, frozen=True):
    """The parts of the main window."""

    widget: QWidget
    """The window, as parent of dialogs."""
    models: Models
    canvas: Canvas
    strip: TimeStrip
    contents: Contents
    checks: ChecksPanel
    properties: PropertiesPanel
    files: FileActions
    windows: WindowHost | None
    """The windows of this process; None: there can be only one."""
    log_file: Path | None
    editing: EditCommands
    start: StartFeature
    export: ExportFeature
    continue_job: ContinueFeature
    controller: ControllerFeature
    calibration: CalibrationFeature
    proof: ProofFeature
    register_marks: RegisterMarksFeature
    anchor_advice: AnchorAdviceFeature
    pens: PensFeature
    photo: PhotoFeature
    screen_scale: ScreenScaleFeature
    generated_artwork: GeneratedArtworkFeature
    shorter: ShorterFeature
    actions: dict[ActionId, QAction] = msgspec.field(default_factory=dict)
    """Actions by id, filled when the menus are built."""
