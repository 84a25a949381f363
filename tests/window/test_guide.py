"""The guide: what it names exists, in every language; it is searched, its links lead somewhere, Help buttons open it."""

import re
import shlex
import tomllib
from pathlib import Path

import pytest
from PySide6.QtCore import QUrl
from PySide6.QtGui import QTextDocument
from PySide6.QtWidgets import QDialogButtonBox, QWidget

from wallwright.commands.main import COMMANDS, parser
from wallwright.document import guide
from wallwright.document.language import LANGUAGES, Language, set_language, tr
from wallwright.planning.examples import EXAMPLES
from wallwright.window.features.guide.feature import WIDEST, GuidePage, GuideWindow, add_help_button, show_guide
from wallwright.window.shell.actions import ACTIONS, MENU_TITLES

PROJECT = Path(__file__).resolve().parents[2]
COMMAND = re.compile(r"(?<!\*)\*([^*\n]+?, [^*\n]+?)\*(?!\*)")
CONTROL = re.compile(r"\*\*([^*\n]+?)\*\*")


@pytest.fixture(params=sorted(LANGUAGES))
def language(request):
    set_language(Language(request.param))
    yield request.param
    set_language(Language())


def plain(title):
    return title.replace("&", "").rstrip("….")


def test_every_menu_name_exists(language):
    known = {f"{plain(tr(MENU_TITLES[a.menu]))}, {plain(tr(a.title))}" for a in ACTIONS}
    named = {plain(name) for chapter in guide.chapters() for name in COMMAND.findall(chapter.text)}
    assert len(named) > 25
    assert named - known == set()


def test_every_control_that_is_named_exists(language):
    # The catalogue lists every text of the program; a measure in the text of a list item is no control.
    catalogue = (PROJECT / "resources" / "languages" / "de.po").read_text(encoding="utf-8")
    kind = "msgid" if language == "en" else "msgstr"
    texts = {plain(t) for t in re.findall(rf'^{kind} "((?:[^"\\]|\\.)+)"$', catalogue, re.MULTILINE)}
    texts |= {plain(tr(e.title)) for e in EXAMPLES} | {tr("Examples")}
    named = {plain(name) for chapter in guide.chapters() for name in CONTROL.findall(chapter.text)}
    assert len(named) > 25
    assert named - texts == set()


def test_languages_have_the_same_chapters_pictures_links_and_commands():
    shapes = []
    for code in LANGUAGES:
        set_language(Language(code))
        shapes.append(
            [
                (
                    c.id,
                    len(re.findall("^## ", c.text, re.M)),
                    re.findall(r"\((pictures/[^)]*|guide:[^)]*)\)", c.text),
                    len(COMMAND.findall(c.text)),
                )
                for c in guide.chapters()
            ]
        )
    set_language(Language())
    assert shapes[0] == shapes[1]
    assert len(shapes[0]) == 13


def test_links_and_pictures_lead_somewhere(language):
    ids = {c.id for c in guide.chapters()}
    for chapter in guide.chapters():
        assert set(re.findall(r"\(guide:([^)]*)\)", chapter.text)) <= ids
        for name in re.findall(r"!\[[^\]]+\]\(([^)]*)\)", chapter.text):
            assert (guide.picture(name) or b"").startswith(b"\x89PNG"), name
    assert {e.chapter for e in EXAMPLES} <= ids


def test_commands_and_options_exist(language):
    commands = parser().commands
    text = "".join(c.text for c in guide.chapters())
    lines = re.findall(r"(?m)(?:^    |`)(wallwright [^`\n]+)", text)
    assert len(lines) > 8
    assert {name.replace("_", "-") for name in COMMANDS} == set(commands)
    for line in lines:
        words = shlex.split(line)[1:]
        assert words[0] in commands or words[0] == "--help", line
        options = {w for w in words[1:] if w.startswith("--")}
        assert not options or options <= set(commands[words[0]].options), line


def test_file_names_are_those_that_are_written():
    text = "".join(c.text for c in guide.chapters())
    jobs = "".join(f.read_text(encoding="utf-8") for f in (PROJECT / "app" / "wallwright" / "jobs").rglob("*.py"))
    named = set(re.findall(r"`([a-z-]+\.(?:ngc|svg|jsonl|pdf|csv|bin))`", text))
    assert len(named) > 7
    assert [name for name in named if f'"{name}"' not in jobs] == []


def test_the_chapter_about_files_names_every_schema(language):
    text = next(c.text for c in guide.chapters() if c.id == "files")
    named = re.findall(r"`([a-z.-]+\.json)`", text)
    assert {
        "document.json",
        "report.json",
        *(f.name for f in (PROJECT / "resources" / "schemas").glob("*.json")),
    } == set(named)


def test_search_finds_by_all_words():
    found = [chapter.id for chapter, _ in guide.search("register marks")]
    assert found[0] == "hangings"
    assert "wall" not in [chapter.id for chapter, _ in guide.search("stipple")]
    assert guide.search("xyzzy") == []
    assert len(guide.search("")) == 13


def test_the_window_shows_searches_and_follows(qtbot):
    window = GuideWindow(None)
    qtbot.addWidget(window)
    assert window.list.count() == 13
    window.words.setText("ripples")
    assert "troubleshooting" in {window.list.item(i).data(256) for i in range(window.list.count())}
    assert window.page.extraSelections()
    window.words.setText("xyzzy")
    assert window.list.count() == 0
    assert window.page.toPlainText()
    window._follow(QUrl("guide:calibration"))
    assert "# " not in window.page.toPlainText()
    assert window.page.toPlainText().startswith("Calibration")


def test_pictures_fit_on_the_page_and_are_those_of_the_language(qtbot):
    page = GuidePage()
    qtbot.addWidget(page)
    kind = QTextDocument.ResourceType.ImageResource
    shown = {}
    for code in LANGUAGES:
        set_language(Language(code))
        shown[code] = page.loadResource(kind, QUrl("pictures/window.png"))
        assert 0 < shown[code].deviceIndependentSize().width() <= WIDEST < shown[code].width()
    set_language(Language())
    assert shown["en"] != shown["de"]
    assert page.loadResource(kind, QUrl("pictures/wall.png")).devicePixelRatio() == 1.0
    assert page.loadResource(kind, QUrl("pictures/nothing.png")).isNull()


def test_pictures_are_never_wider_than_the_page(qtbot):
    window = GuideWindow(None)
    qtbot.addWidget(window)
    window.show()
    for width in (1200, 620):
        window.resize(width, 500)
        for chapter in guide.chapters():
            window.open_chapter(chapter.id)
            assert window.page.document().idealWidth() <= window.page.viewport().width(), chapter.id
    window.close()


def test_help_buttons_open_their_page(qtbot):
    parent = QWidget()
    qtbot.addWidget(parent)
    buttons = QDialogButtonBox(parent)
    add_help_button(buttons, "stops")
    buttons.button(QDialogButtonBox.StandardButton.Help).click()
    (window,) = parent.findChildren(GuideWindow)
    assert window.list.currentItem().data(256) == "stops"
    assert show_guide(parent, "pens") is window
    window.close()


def test_every_help_button_names_a_chapter():
    ids = {c.id for c in guide.chapters()}
    used = set()
    for file in (PROJECT / "app" / "wallwright" / "window").rglob("*.py"):
        used |= set(
            re.findall(r'(?:add_help_button|show_guide)\([\w.]+, "([^"]+)"\)', file.read_text(encoding="utf-8"))
        )
    assert len(used) > 4
    assert used <= ids


def test_the_guide_is_installed():
    data = tomllib.loads((PROJECT / "pyproject.toml").read_text())["tool"]["setuptools"]["package-data"]
    assert {"guide/*/*.md", "guide/pictures/*.png", "examples/*", "licences/*.txt"} <= set(data["wallwright.resources"])
