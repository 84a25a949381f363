"""The catalogues of translations, read by Babel and by the standard library's gettext."""

import gettext
import importlib.util
import re
import string
from pathlib import Path

import pytest

from wallwright.document.language import LANGUAGES, Language, plural, set_language, tr

PROJECT = Path(__file__).parents[2]
_SPEC = importlib.util.spec_from_file_location("translations", PROJECT / "packaging" / "translations.py")
translations = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(translations)

OTHERS = sorted(code for code in LANGUAGES if code != "en")


@pytest.fixture(params=OTHERS)
def catalogue(request):
    return translations.read(translations.CATALOGUES / f"{request.param}.po")


def fields(text: str) -> list[tuple[str, str]]:
    """Placeholders with the forms that numbers are written in."""
    return sorted((name, form) for _, name, form, _ in string.Formatter().parse(text) if name is not None)


def pairs(catalogue):
    """(English, translation) of every form that is translated."""
    for message in catalogue:
        if not message.id:
            continue
        english, translated = translations.forms(message.id), translations.forms(message.string)
        for number, text in enumerate(translated):
            if text:
                yield english[min(number, len(english) - 1)], text


def test_every_language_is_there():
    assert {file.stem for file in translations.CATALOGUES.glob("*.po")} == set(OTHERS)
    assert {file.stem for file in translations.CATALOGUES.glob("*.mo")} == set(OTHERS)


def test_everything_is_translated_and_nothing_else(catalogue):
    """A new text needs its translation: run packaging/translations.py, fill in what it added, run it again."""
    wanted = {translations.forms(m.id) for m in translations.template() if m.id}
    have = {translations.forms(m.id) for m in catalogue if m.id}
    assert [m.id for m in translations.missing(catalogue)] == []
    assert sorted(wanted - have) == [] and sorted(have - wanted) == []


def test_placeholders_agree(catalogue):
    found = list(pairs(catalogue))
    assert len(found) > 700
    assert not [(e, t) for e, t in found if fields(e) != fields(t)]


def test_markup_access_keys_and_edges_agree(catalogue):
    def shape(text: str):
        keys = len(re.findall(r"&(?=\w)", text))
        edges = text[:1].isspace(), text[-1:].isspace(), text.endswith(("…", ":")), text.count("\n")
        return keys, edges, sorted(re.findall(r"</?\w+>", text))

    assert not [(e, t) for e, t in pairs(catalogue) if shape(e) != shape(t)]


@pytest.mark.parametrize("code", OTHERS)
def test_the_compiled_catalogue_is_the_written_one(code):
    compiled = (translations.CATALOGUES / f"{code}.mo").read_bytes()
    written = (translations.CATALOGUES / f"{code}.po").read_bytes()
    assert compiled == translations.mo_bytes(written, code), "run packaging/translations.py"
    with (translations.CATALOGUES / f"{code}.mo").open("rb") as stream:
        read = gettext.GNUTranslations(stream)
    for message in translations.read(translations.CATALOGUES / f"{code}.po"):
        if isinstance(message.id, str) and message.id and message.string:
            assert read.gettext(message.id) == message.string


def test_german_is_spoken():
    try:
        set_language(Language("de", ","))
        assert tr("Draw zone:") == "Zeichenbereich:"
        ink = "{1:.1f} m of ink, {0} stroke", "{1:.1f} m of ink, {0} strokes"
        assert [plural(*ink, n, 1.5) for n in (1, 2)] == [
            "1,5 m gezeichnet, 1 Strich",
            "1,5 m gezeichnet, 2 Striche",
        ]
    finally:
        set_language(Language())
