"""Walls and machines kept under a name for new projects."""

import json

import pytest
from PySide6.QtWidgets import QComboBox, QInputDialog

from tests.support.earlier_projects import NAMES_2
from wallwright.document import edits
from wallwright.document.errors import BadFile
from wallwright.document.saved_presets import SavedPresets, presets_file, read_presets, write_presets
from wallwright.planning.demo import demo_document
from wallwright.window.application.window_assembly import ProjectWindow
from wallwright.window.features.start.guided_start import GuidedStart
from wallwright.window.model.models import Models


def test_a_wall_and_a_machine_are_kept_for_new_projects(qtbot, monkeypatch):
    document = edits.set_field(demo_document(), "machine.body.mass", 0.91)
    window = ProjectWindow(Models.of(document))
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    monkeypatch.setattr(QInputDialog, "getText", lambda *args, text: (f"{text} again", True))
    window.files.keep_wall()
    window.files.keep_machine()
    kept = read_presets()
    assert [(t.name, t.wall, t.hanging.right) for t in kept.walls] == [
        ("Boat-house wall again", document.wall, document.hangings[0].right)
    ]
    assert [(m.name, m.body) for m in kept.machines] == [(f"{document.machine.name} again", document.machine.body)]
    form = GuidedStart()
    qtbot.addWidget(form)
    form.show_page(2)
    offered = [box.itemText(i) for box in form.findChildren(QComboBox) for i in range(box.count())]
    assert "Boat-house wall again" in offered and f"{document.machine.name} again" in offered


def test_a_template_without_a_name_is_reported(qtbot, monkeypatch):
    window = ProjectWindow(Models.of(demo_document()))
    qtbot.addWidget(window, before_close_func=lambda w: setattr(w.models.project, "saved", w.models.project.document))
    received = []
    window.models.messages.new_message.connect(received.append)
    monkeypatch.setattr(QInputDialog, "getText", lambda *args, text: ("  ", True))
    window.files.keep_wall()
    assert received == ["A saved wall, machine or pen needs a name."] and read_presets().walls == ()


def test_saved_walls_of_an_earlier_version_are_read():
    """Their hangings and anchors had other names for some fields."""
    write_presets(SavedPresets().with_wall("Hall", demo_document()))
    kept = read_presets()
    content = json.loads(presets_file().read_text())
    for wall in content["walls"]:
        hanging = wall["hanging"]
        for new, old in NAMES_2["hangings"].items():
            hanging[old] = hanging.pop(new)
        for side in ("left", "right"):
            hanging[side]["holds"] = hanging[side].pop("rating")
    presets_file().write_text(json.dumps(content))
    assert read_presets() == kept
    presets_file().write_text('{"walls": [3]}')
    with pytest.raises(BadFile, match="Move that file"):
        read_presets()
