"""Plain words: the catalogue keeps to one term for one thing and to short sentences.

The terms are the project's own glossary. Sentence length: Cutts, "Oxford Guide to Plain English", recommends an average
of 15 to 20 words (from memory); 25 words are the limit for a single sentence here.
"""

import re
from importlib import resources
from pathlib import Path

import pytest
from babel.messages.pofile import read_po

LONGEST = 25
"""Words in one sentence."""

GUIDE_LINES = r"\b(plumb|level) lines?\b(?!.*\b(anchor|spirit level|Lot)\b)(?<!^Plumb line)"
VERDICTS = r"\bmeasure \w+ and sure\b|\bBad\b|\bGood\b|\bgood enough\b"
"""What is forbidden in the window only: a guide may speak of a plumb line and of good drawings."""
FORBIDDEN = {
    r"\bin hand\b": "current hanging; reserve",
    r"\bstarting[ ]place\b|\bdatum\b": "starting point",
    r"\boverrid\w*|\ball the same\b|\bOVERRIDDEN\b": "draw outside anyway",
    r"\bcomes? to rest\b|\bthe rest\b(?= of (a|the) job)": "snap; what is left",
    GUIDE_LINES: "vertical or horizontal guide line",
    r"\bto spare\b|\bmargin of\b": "reserve",
    r"\b(known|sure) to\b": "uncertainty",
    r"\bmeeting lines?\b": "handover line",
    r"\bgo(es)? on\b|\bgoing on\b": "continue",
    r"\btemplates?\b": "saved wall, saved machine",
    r"\blettering\b": "text, letters",
    r"\b(is|are|was|were|be) told\b|\btells?\b(?! .* apart)": "say what happens",
    r"\blooked at\b|\bwhat it takes\b|\bas it takes\b|\bnaught\b|\bso as\b|\bby and by\b": "plain English",
    r"\btaken as\b|\btaken for\b|\bof its own\b|\bpaid\b": "plain English",
    r"\bskip(s|ped)?\b": "a belt slips, a motor loses steps, a pen leaves gaps",
    r"\bchoke\b": "gap between colours",
    VERDICTS: "OK, note, warning, error",
    r" …": "no space before an ellipsis",
    r"'\{": "one kind of quotation mark",
}
"""What the catalogue must not say, as a pattern, and what it says instead."""

MENUS = "File|Edit|Add|Arrange|Pens|View|Job|Help"
MENUS_GERMAN = "Datei|Bearbeiten|Hinzufügen|Anordnen|Ansicht|Auftrag|Hilfe"
"""Not “Stifte”, which lists begin with."""

FORBIDDEN_GERMAN = {
    r"\bin der Hand\b": "aktuelle Aufhängung",
    r"\b[Aa]ufgehoben\b|\b[Aa]ufheben\b|\bAUFGEHOBEN\b": "speichern; trotzdem außerhalb zeichnen",
    r"\bTrefflinie\b": "Übergabelinie",
    r"\b[Ff]eststellen\b|\bFestgestellt\b": "sperren",
    r"\bzur Ruhe\b": "einrasten",
    r"\b[Dd]u\b|\b[Dd]eine?[rnms]?\b|\b[Ww]ähle sie\b": "Sie",
    r"\bLehre\b|\bLage\b(?= eines| des Bildes)": "Messrahmen; Ebene",
    r"\bSCHLECHT\b|\bSchlecht\b": "Fehler",
    r"\{\d[^}]*\}, \{\d[^}]*\} mm\b(?<!^\{0\}, \{1:g\} mm)": "pairs with a semicolon",
    r" …": "no space before an ellipsis",
}


def _messages():
    catalogue = resources.files("wallwright.resources") / "languages" / "de.po"
    with catalogue.open("rb") as file:
        for message in read_po(file, locale="de"):
            if message.id:
                plural = not isinstance(message.id, str)
                yield (
                    (message.id if plural else (message.id,)),
                    (message.string if plural else (message.string,)),
                )


def _sentences(text: str) -> list[str]:
    plain = re.sub(r"<[^>]*>|&(?=\w)", "", text)
    return [s for s in re.split(r"(?<=[.:;?!])\s+|\n", plain) if s]


@pytest.mark.parametrize(("pattern", "instead"), FORBIDDEN.items())
def test_the_catalogue_keeps_to_the_glossary(pattern, instead):
    found = [text for english, _ in _messages() for text in english if re.search(pattern, text, re.IGNORECASE)]
    assert not found, f"say instead: {instead}"


@pytest.mark.parametrize("menus", [MENUS, MENUS_GERMAN])
def test_menu_paths_have_one_form(menus):
    """As in “Job › Calibrate”."""
    pattern = re.compile(rf"\b(?:{menus}), [A-ZÄÖÜ][a-zäöü]+(?= [a-zäöü]|[.,;:)”“]|$)")
    number = 0 if menus is MENUS else 1
    found = [text for message in _messages() for text in message[number] if pattern.search(text)]
    assert not found


@pytest.mark.parametrize(("pattern", "instead"), FORBIDDEN_GERMAN.items())
def test_the_german_catalogue_keeps_to_the_glossary(pattern, instead):
    found = [text for _, german in _messages() for text in german if re.search(pattern, text, re.IGNORECASE)]
    assert not found, f"say instead: {instead}"


def test_sentences_are_short():
    found = [s for english, _ in _messages() for text in english for s in _sentences(text) if len(s.split()) > LONGEST]
    assert not found


# README and guide.


def _pages(language: str) -> dict[str, str]:
    """Texts of the pages by name, without code, tables and addresses of links."""
    folder = resources.files("wallwright.resources") / "guide" / language
    pages = {page.name: page.read_text() for page in folder.iterdir() if page.name.endswith(".md")}
    if language == "en":
        pages["README.md"] = (Path(__file__).resolve().parents[2] / "README.md").read_text()
    plain = r"```.*?```|^    [^\n]*$|^\|[^\n]*$|(?<=\])\([^)]*\)"
    return {name: re.sub(plain, "", text, flags=re.DOTALL | re.MULTILINE) for name, text in pages.items()}


@pytest.mark.parametrize(
    ("language", "patterns"),
    [("en", [p for p in FORBIDDEN if p not in (GUIDE_LINES, VERDICTS)]), ("de", list(FORBIDDEN_GERMAN))],
)
def test_readme_and_guide_keep_to_the_glossary(language, patterns):
    pages = _pages(language)
    assert len(pages) > 10
    found = [
        (name, match[0])
        for name, text in pages.items()
        for pattern in patterns
        for match in re.finditer(pattern, text, re.IGNORECASE)
    ]
    assert not found


def test_sentences_of_readme_and_guide_are_short():
    found = [
        (name, sentence)
        for name, text in _pages("en").items()
        for sentence in _sentences(text)
        if len(sentence.split()) > LONGEST
    ]
    assert not found


def test_the_check_finds_what_it_forbids():
    """The patterns on texts that earlier versions had."""
    dialect = [
        "The hanging in hand: zone, plan, checks",
        "Draw all " + "the same",
        "known to 2 mm",
        "Keep 1.3 to spare",
    ]
    for text in dialect:
        assert any(re.search(pattern, text) for pattern in FORBIDDEN), text
    assert len(_sentences("One. Two: three; four?")) == 4
