"""Commands in the person's language; keys, column heads, option names and choices in one language only."""

import ast
import csv
import json
import re
from pathlib import Path

import pytest

from tests.support.covered_wall import compose_covered
from tests.support.jobs import SQUARE
from wallwright import commands
from wallwright.commands.command_parser import EARLIER_NAMES
from wallwright.commands.compose_options import FILLS
from wallwright.commands.main import COMMANDS, main
from wallwright.commands.options import OUTSIDE
from wallwright.document import language
from wallwright.document.language import Language, current_language, set_language
from wallwright.document.language_setting import settings_file, stored_language, system_languages
from wallwright.document.picture import STYLES
from wallwright.document.project import read_project
from wallwright.window.model.settings import choose_inches_on_rulers, choose_language, chosen_language


@pytest.fixture(autouse=True)
def back_to_english():
    yield
    set_language(Language())


def spoken() -> str:
    """The language after a command that does nothing."""
    assert main(["--version"]) == 0
    return current_language().code


def test_environment_then_setting_then_system(monkeypatch):
    monkeypatch.delenv(language.VARIABLE, raising=False)
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    assert spoken() == "en"
    monkeypatch.setenv("LC_ALL", "de_AT.UTF-8")
    monkeypatch.delenv("LANGUAGE")
    assert spoken() == "de" and current_language().decimal == ","
    choose_language("en")
    assert spoken() == "en"
    monkeypatch.setenv(language.VARIABLE, "de")
    assert spoken() == "de"


def test_the_setting_that_the_window_keeps_is_read_without_qt():
    assert stored_language() == ""
    choose_inches_on_rulers(True)  # a key with spaces beside it
    for code in ("de", "en", ""):
        choose_language(code)
        assert stored_language() == chosen_language() == code


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"language=de\n",
        b"[General]\nlanguage=xx\n",
        b"[General\nlanguage=de\n",
        b"\xff\xfe\x00[\x00",
        b"[General]\nlanguage\n",
        b"[General]\nlanguage=%(de)s\n",
    ],
)
def test_a_damaged_or_unknown_setting_stops_no_command(monkeypatch, content):
    monkeypatch.delenv(language.VARIABLE, raising=False)
    settings_file().write_bytes(content)
    assert stored_language() == "" and spoken() == "en"


def test_a_settings_file_that_cannot_be_read_stops_no_command(monkeypatch):
    monkeypatch.delenv(language.VARIABLE, raising=False)
    settings_file().mkdir()
    assert spoken() == "en"


@pytest.mark.parametrize(
    ("environment", "languages"),
    [
        ({"LANG": "de_DE.UTF-8"}, ["de_DE.UTF-8"]),
        ({"LANG": "en_GB", "LC_MESSAGES": "de_DE"}, ["de_DE"]),
        ({"LANG": "en_GB", "LC_ALL": "de_DE", "LC_MESSAGES": "fr_FR"}, ["de_DE"]),
        ({"LANG": "fr_FR", "LANGUAGE": "nl:de"}, ["nl", "de", "fr_FR"]),
        ({"LANG": "C", "LANGUAGE": "de"}, []),  # GNU gettext manual, "The LANGUAGE variable"
        ({"LANG": "de_DE", "LC_ALL": ""}, ["de_DE"]),
        ({}, []),
    ],
)
def test_the_system_says_its_languages(monkeypatch, environment, languages):
    for name in ("LC_ALL", "LC_MESSAGES", "LANG", "LANGUAGE"):
        monkeypatch.delenv(name, raising=False)
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    assert system_languages() == languages


class Marked:
    """A catalogue that has each text, in brackets."""

    def gettext(self, text):
        return f"«{text}»"

    def ngettext(self, one, many, count):
        return f"«{one if count == 1 else many}»"


@pytest.fixture
def marked(monkeypatch):
    monkeypatch.setattr(language, "_catalogue", lambda code: Marked())
    monkeypatch.setenv("COLUMNS", "100")


@pytest.mark.parametrize("name", ["", *(n.replace("_", "-") for n in COMMANDS)])
def test_every_word_of_the_help_is_translated(marked, capsys, name):
    assert main([*([name] if name else []), "--help"]) == 0
    text = capsys.readouterr().out
    assert "«Usage: »" in text and "«show this help»" in text
    text = re.sub(r"^ +(wallwright|--artwork) .*$", "", text, flags=re.M)  # examples
    while "«" in text:
        text = re.sub(r"«[^«»]*»", "", text)
    fixed = {"wallwright", *FILLS, *STYLES, *(c.replace("_", "-") for c in COMMANDS)}
    words = set(re.findall(r"(?<![-\w])[a-zäöü][\w-]+", text))
    assert words <= fixed


@pytest.mark.parametrize(
    ("arguments", "text"),
    [
        (["check"], "«give PROJECT»"),
        (["export", "a.wallwright", "--folder"], "--folder: «needs one value»"),
        (["compose", "a.wallwright", "--keep-out"], "--keep-out: «needs at least one value»"),
        (["compose", "a.wallwright", "--replace=1"], "--replace: «takes no value, but “1” was given»"),
        (
            ["export", "a.wallwright", "--folder", "x", "--from-stroke", "1", "--from-line", "2"],
            "--from-line: «cannot be given together with --from-stroke»",
        ),
    ],
)
def test_errors_of_argparse_are_translated(marked, capsys, arguments, text):
    assert main(arguments) == 2
    assert text in capsys.readouterr().err


SPEAKING = {
    "print",
    "BadValue",
    "BadFile",
    "ArgumentTypeError",
    "error",
    "add_argument",
    "add_argument_group",
    "add_parser",
    "append",
    "join",
    "usage",
    "epilog",
    "Parser",
}
TRANSLATING = {"tr", "plural", "N_", "print_json"}
PROSE = re.compile(r"[a-z]{2,},? [a-z]{2,}|^[A-Z][a-z]+ ")


def _untranslated(node, is_spoken=False):
    """Texts of several words that are given to a function that shows them."""
    if isinstance(node, ast.Call):
        name = getattr(node.func, "attr", getattr(node.func, "id", ""))
        if name in TRANSLATING:
            return
        is_spoken = is_spoken or name in SPEAKING
    text = node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else ""
    if is_spoken and PROSE.search(text) and not text.lstrip().lower().startswith("wallwright "):
        yield node.lineno, text
    for child in ast.iter_child_nodes(node):
        yield from _untranslated(child, is_spoken)


@pytest.mark.parametrize("file", sorted(Path(commands.__file__).parent.glob("*.py")), ids=lambda f: f.stem)
def test_no_message_of_a_command_passes_the_catalogue_by(file):
    assert list(_untranslated(ast.parse(file.read_text("utf-8")))) == []


def _keys(value, path=""):
    """Every key in a JSON value, with its place."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield f"{path}/{key}"
            yield from _keys(inner, f"{path}/{key}")
    elif isinstance(value, list):
        for inner in value:
            yield from _keys(inner, path)


def test_a_german_export_has_the_keys_and_column_heads_of_an_english_one(tmp_path, monkeypatch, capsys):
    project = tmp_path / "job.wallwright"
    (tmp_path / "a.svg").write_bytes(SQUARE)
    (tmp_path / "points.csv").write_text("x,y\n1000,800\n1000,-500\n")
    assert compose_covered(project, tmp_path / "a.svg") == 0
    fresh = project.read_bytes()
    keys, heads, titles, verdicts = {}, {}, {}, {}
    for code in ("en", "de"):
        monkeypatch.setenv(language.VARIABLE, code)
        project.write_bytes(fresh)
        folder = tmp_path / code
        folder.mkdir()
        strokes, readings = folder / "strokes.csv", folder / "readings.csv"
        capsys.readouterr()
        main(["export", str(project), "--folder", str(folder / "job"), "--json"])
        printed = [capsys.readouterr().out]
        main(["check", str(project), "--strokes", str(strokes)])
        main(
            [
                "calibrate",
                str(project),
                "--figure",
                "few",
                "--test",
                str(folder / "t.wallwright"),
                "--list",
                str(readings),
                "--replace",
            ]
        )
        capsys.readouterr()
        main(["pose", str(tmp_path / "points.csv"), "--json"])
        printed.append(capsys.readouterr().out)
        main(["pose", str(tmp_path / "points.csv")])
        table = capsys.readouterr().out
        files = sorted(p for p in folder.rglob("*.json"))
        reports = {p.relative_to(folder): json.loads(p.read_bytes()) for p in files}
        assert len(reports) == 3  # two hangings and the wall
        keys[code] = [set(_keys(v)) for v in (*map(json.loads, printed), *reports.values())]
        tables = {p.relative_to(folder): p.read_text() for p in folder.rglob("*.csv")}
        assert any(p.name == "register.csv" for p in tables)
        heads[code] = {p: next(csv.reader(text.splitlines())) for p, text in tables.items()}
        heads[code]["pose"] = table.splitlines()[0], [row.rsplit(",")[-1] for row in table.splitlines()]
        checks = [c for r in reports.values() for c in r.get("checks", ())]
        verdicts[code] = [(c["id"], c["verdict"]) for c in checks]
        titles[code] = [c["title"] for c in checks]
    assert keys["en"] == keys["de"] and heads["en"] == heads["de"] and verdicts["en"] == verdicts["de"]
    assert len(verdicts["en"]) > 10
    assert titles["en"] != titles["de"]  # for a person


def test_earlier_option_names_still_work_and_no_help_shows_them(tmp_path, capsys):
    (tmp_path / "a.svg").write_bytes(SQUARE)
    now = [
        "--start",
        "900,700",
        "--artwork",
        str(tmp_path / "a.svg"),
        "--text",
        "Hi",
        "--text-set",
        "letters=outline",
        "--width",
        "a.svg=300",
        "--add-hanging",
        "right",
        "--outside",
        "draw-anyway",
    ]
    present = EARLIER_NAMES["compose"]
    before = {new: old for old, new in present.items()} | {
        "draw-anyway": "override",
        "letters=outline": "lettering=outline",
    }
    then = [before.get(word, word) for word in now]
    assert len(set(then) - set(now)) == 8
    for name, options in (("now", now), ("then", then)):
        assert main(["compose", str(tmp_path / f"{name}.wallwright"), *options]) == 0
    assert main(["compose", str(tmp_path / "set.wallwright"), "--set", "settings.outside=draw-anyway"]) == 0
    assert read_project(tmp_path / "set.wallwright").settings.outside == "draw-anyway"
    assert read_project(tmp_path / "now.wallwright") == read_project(tmp_path / "then.wallwright")
    capsys.readouterr()
    for command, names in EARLIER_NAMES.items():
        assert main([command, "--help"]) == 0
        shown = capsys.readouterr().out.replace("\n", " ").split()
        assert not {*names, "override"} & {word.strip(",;:") for word in shown}
        words = {word.strip(",;:") for word in shown}
        assert {*names.values(), *(OUTSIDE if "--outside" in words else ())} <= words


def test_an_earlier_name_is_the_same_option_as_its_present_one(tmp_path, capsys):
    assert main(["compose", str(tmp_path / "a.wallwright"), "--datum=1,2", "--start", "3,4"]) == 2
    assert "--start is given twice" in capsys.readouterr().err
    assert main(["compose", str(tmp_path / "a.wallwright"), "--hang-anew"]) == 2
    assert "--cover-anew belongs to --cover" in capsys.readouterr().err
