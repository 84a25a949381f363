"""A style sheet in pieces says what the whole one says: tinycss2, which reads it whole, is the judge (CSS Syntax 3)."""

import tinycss2
from hypothesis import given, settings
from hypothesis import strategies as st

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.svg import style_sheet
from wallwright.artwork.svg.style_sheet import rules_in_pieces

TOKENS = [
    ".a",
    "#b",
    "g",
    " ",
    ",",
    "{",
    "}",
    "(",
    ")",
    "[",
    "]",
    '"',
    "'",
    "\\",
    "\\}",
    "/*",
    "*/",
    "url(",
    "url('x}')",
    "url(a}b)",
    "curl(",
    "fill:red",
    ";",
    ":not(",
    "@media x",
    "\n",
    "é",
    "<!--",
    '"}"',
    "@import 'y';",
]


class All(frozenset):
    """Every name there is."""

    def __contains__(self, name: object) -> bool:
        return True


def rules(text: str) -> list[str]:
    parsed = tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True)
    # Of errors only that they are errors: what they swallow counts for nothing.
    return [rule.type if rule.type == "error" else rule.serialize() for rule in parsed]


@given(st.lists(st.sampled_from(TOKENS), max_size=40).map("".join))
@settings(max_examples=400)
def test_pieces_are_whole_rules(sheet):
    pieces = list(rules_in_pieces(sheet, All(), All(), lambda: None))
    assert "".join(text for text, _ in pieces) == sheet and pieces[-1][1] == len(sheet)
    before = style_sheet.PIECE
    style_sheet.PIECE = 0
    try:
        each = [text for text, _ in rules_in_pieces(sheet, All(), All(), lambda: None)]
    finally:
        style_sheet.PIECE = before
    assert [rule for text in each for rule in rules(text)] == rules(sheet)


def test_rules_for_names_that_nobody_has_are_left_out():
    sheet = ".a{x:1} .c{x:2} g .a>rect.c{x:3} .c, .a{x:4} .a:not(.c){x:5} #b {x:6} #c{x:7} .\\63{x:8} .a/*.c*/{x:9}"
    ((kept, _),) = rules_in_pieces(sheet, {"a"}, {"b"}, lambda: None)
    assert [n for n in range(1, 10) if f"x:{n}" in kept] == [1, 4, 5, 6, 8, 9]


def test_a_rule_that_never_ends_is_left_out_and_reported(monkeypatch):
    monkeypatch.setattr(style_sheet, "LONGEST_RULE", 2000)
    font = "@font-face{src:url(data:font/ttf;base64," + "A" * 5000 + ")}"
    content = f"<style>{font} rect{{fill:lime}} g({'.a{}' * 1000}</style><rect width='9' height='9'/>"
    data = f'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9">{content}</svg>'.encode()
    drawing = read_artwork(data, "image/svg+xml", "drawing.svg", 0.1)
    assert drawing.shapes[0].paint.colour == "#00ff00"
    assert [f.text for f in drawing.findings if "one rule" in f.text]


def test_progress_moves_while_style_sheets_are_read():
    sheet = "".join(f".a{{fill:#{i:06x}}}\n" for i in range(4000))
    data = f'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><style>{sheet}</style><g class="a"/></svg>'
    shares: list[float] = []
    read_artwork(data.encode(), "image/svg+xml", "drawing.svg", 0.1, shares.append)
    assert shares == sorted(shares) and len(shares) > 3
