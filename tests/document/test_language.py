"""Words and numbers in the person's language. Catalogue form: the GNU gettext manual, "The Format of GNU MO Files"."""

import ast
from pathlib import Path

import pytest

import wallwright
from wallwright.document.language import (
    LANGUAGES,
    Language,
    best_match,
    current_language,
    format_number,
    from_environment,
    mid_sentence,
    plural,
    set_language,
    tr,
    unbroken_units,
)
from wallwright.document.new_wall import new_document
from wallwright.document.validation_text import describe_invalid
from wallwright.statics.error_budget import force_source


@pytest.fixture(autouse=True)
def english_afterwards():
    yield
    set_language(Language())


def test_numbers_take_the_decimal_sign_and_texts_keep_their_points():
    set_language(Language("de", ","))
    assert tr("{0:.1f} m. {1}", 1.25, "a.svg") == "1,2 m. a.svg"
    assert format_number(0.5) == "0,5" and format_number(1234567.0, ".0f") == "1234567"
    assert tr("{0:,} parts", 1500000) == "1\u202f500\u202f000 parts"
    set_language(Language("de", "."))  # as in Switzerland
    assert format_number(0.5) == "0.5"
    set_language(Language())
    assert tr("{0:.1f} m. {name}", 1.25, name="a") == "1.2 m. a"


def test_a_share_has_a_space_before_its_sign():
    """SI Brochure, 9th edition, 5.4.7: a space separates the number and the symbol %."""
    for language in (Language(), Language("de", ",")):
        set_language(language)
        assert tr("{0:.0%} of it", 0.44).startswith("44\u00a0% ")


CODE = Path(__file__).parents[2] / "app" / "wallwright"
SHOWN = ("document", "statics", "planning", "window")
"""Folders whose texts people read. Commands and jobs write for programs as well."""
NOT_SHOWN = {
    "document/typed_numbers.py",  # gets its sign there
    "planning/calibration_figure.py",  # SVG
    "planning/pen_figures.py",  # path data
    "planning/proof_drawing.py",  # SVG
    "window/shell/project_view.py",  # settings
    "window/features/screen_scale/distance_view.py",  # settings
    "window/features/help_report/feature.py",  # English, whatever the language
    "window/widgets/slider_field.py",  # a number again
}


def raw_decimals() -> list[str]:
    """Where a number gets decimals in an f-string of the window, of checks or of the sheet, which knows no decimal sign."""
    found = []
    for file in sorted(CODE.rglob("*.py")):
        name = file.relative_to(CODE).as_posix()
        if name.split("/")[0] not in SHOWN or name in NOT_SHOWN:
            continue
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.FormattedValue) and isinstance(node.format_spec, ast.JoinedStr):
                form = "".join(str(part.value) for part in node.format_spec.values if isinstance(part, ast.Constant))
                if form.endswith(("f", "g", "%")) and not form.endswith(".0f"):
                    found.append(f"{name}:{node.lineno}")
    return found


def test_no_shown_number_has_a_decimal_sign_of_its_own():
    """A friction of "0.2 N" once stood in German sentences."""
    assert raw_decimals() == []
    set_language(Language("de", ","))
    assert describe_invalid("Expected `float` >= 0.05 - at `$.machine.body.mass`").endswith("mindestens 0,05 sein")
    assert force_source("friction", 0.2).size == "0,2 N"


def test_a_number_stays_on_the_line_of_its_unit():
    """SI Brochure, 9th edition, 5.4.3: a space separates number and unit; neither is read without the other."""
    assert (
        unbroken_units("1 h 05 min, 43 % at 0.2 N (0.9 mm).")
        == "1\u00a0h 05\u00a0min, 43\u00a0% at 0.2\u00a0N (0.9\u00a0mm)."
    )
    assert unbroken_units("The pen may be ± 6.5 mm off.") == "The pen may be ±\u00a06.5\u00a0mm off."
    assert unbroken_units("5 pens, 3 have dried; 2 A4 sheets") == "5 pens, 3 have dried; 2 A4 sheets"


def test_what_no_catalogue_has_stays_english():
    set_language(Language("de", ","))
    assert tr("no such text") == "no such text" and tr("") == ""
    assert plural("{0} thing", "{0} things", 1) == "1 thing"
    assert plural("{0} thing", "{0} things", 1.5) == "1,5 things"


def test_titles_within_a_sentence():
    assert mid_sentence("Belt pitch") == "belt pitch"
    set_language(Language("de", ","))
    assert mid_sentence("Zahnteilung") == "Zahnteilung"


@pytest.mark.parametrize(
    ("names", "code"),
    [
        (["de-CH"], "de"),
        (["de_AT.UTF-8"], "de"),
        (["fr-FR", "de"], "de"),
        (["xx"], "en"),
        ([], "en"),
        (["C"], "en"),
    ],
)
def test_the_first_language_that_there_is(names, code):
    assert best_match(names) == code


def test_environment_names_the_language(monkeypatch):
    monkeypatch.setenv("WALLWRIGHT_LANGUAGE", "de_DE.UTF-8")
    assert from_environment() == "de"
    monkeypatch.delenv("WALLWRIGHT_LANGUAGE")
    assert from_environment() == ""


def test_an_unknown_language_is_refused():
    with pytest.raises(KeyError):
        set_language(Language("xx"))
    assert current_language() == Language()


def test_a_new_project_has_names_in_the_persons_language():
    try:
        for code in LANGUAGES:
            set_language(Language(code))
            found = new_document()
            names = found.pens[0].name, found.hangings[0].name, found.machine.name
            assert names == (tr("Black marker"), tr("Hanging 1"), tr("Typical machine"))
            assert not any(c.isdigit() for c in found.machine.name), "numbers change, the name stays"
    finally:
        set_language(Language())
    assert names[0] != "Black marker"


@pytest.mark.parametrize(
    ("value", "form", "text"),
    [
        (-0.02, ".1f", "0.0"),
        (0.02, "+.1f", "0.0"),
        (-0.0, "g", "0"),
        (-0.06, "+.1f", "\N{MINUS SIGN}0.1"),
        (3.0, "+.1f", "+3.0"),
    ],
)
def test_what_rounds_to_zero_has_no_sign(value, form, text):
    assert format_number(value, form) == text


def test_quotation_marks_are_those_of_the_language():
    """What is put together outside of a translated text keeps English marks in every language."""
    own = []
    for path in sorted(Path(wallwright.__file__).parent.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.JoinedStr):
                texts = [part.value for part in node.values if isinstance(part, ast.Constant)]
                own += [f"{path.name}:{node.lineno}" for text in texts if "“" in str(text) and "[" not in str(text)]
    assert own == []
