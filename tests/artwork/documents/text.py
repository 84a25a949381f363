"""SVG documents with words, one feature each: name -> (section, document)."""

from __future__ import annotations

import re
from pathlib import Path

import matplotlib

from tests.artwork.documents.structure import many, page

FONTS = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
FACES = [p for p in sorted(FONTS.glob("DejaVuS*.ttf")) if "Display" not in p.name]
RESVG = {
    "skip_system_fonts": True,
    "font_files": [str(p) for p in FACES],
    "serif_family": "DejaVu Serif",
    "sans_serif_family": "DejaVu Sans",
    "monospace_family": "DejaVu Sans Mono",
    "font_family": "DejaVu Serif",
}


def text(inside: str, attributes: str = 'x="20" y="60"', font: str = 'font-family="DejaVu Sans" font-size="24"') -> str:
    return page(f"<g {font}><text {attributes}>{inside}</text></g>")


FONT = many(
    "SVG 2, 11.3; CSS Fonts 4: the font",
    {
        "font family": text("Hamburg"),
        "font serif": text("Hamburg", font='font-family="DejaVu Serif" font-size="24"'),
        "font mono": text("Hamburg", font='font-family="DejaVu Sans Mono" font-size="24"'),
        "font quoted": text("Hamburg", font="font-family=\"'DejaVu Serif'\" font-size='24'"),
        "font list": text("Hamburg", font="font-family=\"No Such, 'DejaVu Serif', sans-serif\" font-size='24'"),
        "font generic serif": text("Hamburg", font='font-family="serif" font-size="24"'),
        "font generic sans": text("Hamburg", font='font-family="sans-serif" font-size="24"'),
        "font generic mono": text("Hamburg", font='font-family="monospace" font-size="24"'),
        "font none asked": text("Hamburg", font='font-size="24"'),
        "font unknown": text("Hamburg", font='font-family="No Such" font-size="24"'),
        "font bold": text("Hamburg", 'x="20" y="60" font-weight="bold"'),
        "font weight 700": text("Hamburg", 'x="20" y="60" font-weight="700"'),
        "font weight 600": text("Hamburg", 'x="20" y="60" font-weight="600"'),
        "font weight 500": text("Hamburg", 'x="20" y="60" font-weight="500"'),
        "font weight bolder": text('Ha<tspan font-weight="bolder">mb</tspan>', 'x="20" y="60" font-weight="400"'),
        "font weight lighter": text('Ha<tspan font-weight="lighter">mb</tspan>', 'x="20" y="60" font-weight="700"'),
        "font italic": text("Hamburg", 'x="20" y="60" font-style="italic"'),
        "font oblique bold": text("Hamburg", 'x="20" y="60" font-style="oblique" font-weight="bold"'),
        "font shorthand": text("Hamburg", 'x="20" y="60" style="font: italic bold 30px/2 DejaVu Serif"'),
        "font size em": text("Hamburg", 'x="20" y="60" font-size="1.5em"'),
        "font size percent": text("Hamburg", 'x="20" y="60" font-size="70%"'),
        "font size keyword": text("Hamburg", 'x="20" y="60" font-size="large"'),
        "font size smaller": text('Ha<tspan font-size="smaller">mb</tspan>'),
        "font size zero": text('Ha<tspan font-size="0">mb</tspan>urg'),
        "font size mm": text("Hamburg", 'x="20" y="60" font-size="5mm"'),
        "font mixed": text(
            'Ha<tspan font-family="DejaVu Serif">mb</tspan><tspan font-family="DejaVu Sans Mono">urg</tspan>'
        ),
        "font small": text("The quick brown fox jumps over", font='font-family="DejaVu Sans" font-size="9"'),
        "font large": text("Qg", 'x="20" y="150"', font='font-family="DejaVu Sans" font-size="120"'),
        "font kerning": text("AVATAR To", font='font-family="DejaVu Serif" font-size="30"'),
        "font no kerning": text(
            "AVATAR To", 'x="10" y="60" style="font-kerning:none"', font='font-family="DejaVu Serif" font-size="30"'
        ),
        "font ligature": text("office fl ffi", font='font-family="DejaVu Serif" font-size="24"'),
    },
)

PLACES = many(
    "SVG 2, 11.4: x, y, dx, dy, rotate",
    {
        "place": text("Text"),
        "place none": text("Text", ""),
        "place y only": text("Text", 'y="50"'),
        "place x list": text("Text", 'x="20 50 90 130" y="60"'),
        "place x list short": text("Text here", 'x="20 60" y="60"'),
        "place y list": text("Text", 'x="20" y="60 80 100 120"'),
        "place both": text("Text", 'x="20 60 100" y="60 90 120"'),
        "place x list long": text("ab", 'x="20 60 100 140" y="60"'),
        "place dx": text("Text", 'x="20" y="60" dx="10"'),
        "place dx list": text("Text here", 'x="20" y="60" dx="0 10 -5 20"'),
        "place dy list": text("Text here", 'x="20" y="60" dy="0 10 10 -20"'),
        "place rotate": text("Text", 'x="20" y="60" rotate="30"'),
        "place rotate list": text("Text here", 'x="20" y="60" rotate="0 20 40 -60"'),
        "place rotate in tspan": text('Te<tspan rotate="45 0">xt</tspan> it', 'x="20" y="60" rotate="10"'),
        "place commas": text("Text", 'x="20,50,90,130" y="60"'),
        "place units": text("Text", 'x="5mm 15mm" y="20mm"'),
        "place percent": text("Text", 'x="10%" y="50%"'),
        "place em": text("Text", 'x="1em" y="3em"'),
        "place tspan": text('One <tspan x="20" y="100">two</tspan> three'),
        "place tspan dy": text('One <tspan dy="30">two</tspan> three'),
        "place tspan dx dy": text('One <tspan dx="10" dy="30">two</tspan><tspan dy="-30"> three</tspan>'),
        "place tspan x list": text('ab<tspan x="80 120">cd</tspan>ef'),
        "place x list over tspans": text("a<tspan>b</tspan>c<tspan>d</tspan>", 'x="20 60 100 140" y="60"'),
        "place inner wins": text('ab<tspan x="150">c</tspan>d', 'x="20 50 90 120" y="60"'),
        "place nested tspans": text('a<tspan fill="red">b<tspan fill="teal" dy="20">c</tspan>d</tspan>e'),
        "place dx of a nested tspan": text(
            'ab<tspan dx="20">c<tspan dx="20">d</tspan></tspan>', 'x="20" y="60" dx="0 10 5 5"'
        ),
        "place y on tspan": text('ab<tspan y="120">cd</tspan>ef'),
        "place rotate with dx": text("abcd", 'x="20" y="60" dx="5 10 5" rotate="10 20 30"'),
        "place bad list": text("abcd", 'x="20 wib 60" y="60"'),
        "place transform": text("Text", 'x="20" y="60" transform="rotate(20) scale(1.5 1)"'),
        "place empty": text(""),
        "place tspan empty": text('<tspan x="50"/>Text<tspan/>'),
    },
)

ANCHORS = many(
    "SVG 2, 11.10.2: text-anchor",
    {f"anchor {a}": text("Anchor", f'x="100" y="60" text-anchor="{a}"') for a in ("start", "middle", "end", "wibble")}
    | {
        "anchor two chunks": text(
            'One<tspan x="100" y="100">longer two</tspan>', 'x="100" y="60" text-anchor="middle"'
        ),
        "anchor by chunk": text(
            'One<tspan x="100" y="100" text-anchor="end">two</tspan>', 'x="100" y="60" text-anchor="middle"'
        ),
        "anchor in a tspan without place": text('One<tspan text-anchor="end">two</tspan>', 'x="100" y="60"'),
        "anchor with dx": text("One", 'x="100" y="60" dx="20" text-anchor="middle"'),
        "anchor with x list": text("abc", 'x="60 100 140" y="60" text-anchor="middle"'),
        "anchor with spacing": text("Anchor", 'x="180" y="60" letter-spacing="5" text-anchor="end"'),
        "anchor mixed sizes": text('a<tspan font-size="40">b</tspan>c', 'x="100" y="60" text-anchor="middle"'),
        "anchor trailing blank": text("One ", 'x="100" y="60" text-anchor="end"'),
        "anchor inherited": page('<g text-anchor="end" font-family="DejaVu Sans"><text x="150" y="50">One</text></g>'),
    },
)

SPACES = many(
    "SVG 2, 11.7.1; XML 1.0, 2.10: white space",
    {
        "space default": text("  a   b  "),
        "space preserve": text("  a   b  ", 'x="20" y="60" xml:space="preserve"'),
        "space lines": text("a\n  b\n\n c"),
        "space line without blanks": text("a\nb"),
        "space lines preserved": text("a\n  b\nc", 'x="20" y="60" xml:space="preserve"'),
        "space tabs": text("a\tb\t\tc"),
        "space tabs preserved": text("a\tb\t\tc", 'x="20" y="60" xml:space="preserve"'),
        "space about tspans": text("a <tspan> b </tspan> c"),
        "space before a tspan": text(" <tspan>a</tspan> <tspan>b</tspan> "),
        "space preserve in a tspan": text('a <tspan xml:space="preserve">  b  </tspan> c'),
        "space default in preserve": text(
            'a  <tspan xml:space="default">  b  </tspan>  c', 'x="20" y="60" xml:space="preserve"'
        ),
        "space preserve on the root": page(
            '<text x="20" y="60" font-family="DejaVu Sans">  a   b</text>', 'viewBox="0 0 200 200" xml:space="preserve"'
        ),
        "space white-space pre": text("  a   b  ", 'x="20" y="60" style="white-space:pre"'),
        "space no-break": text("a\u00a0\u00a0b"),
        "space only": text("   "),
        "space x list": text(" a  b ", 'x="20 60 100 140" y="60"'),
        "space entities": text("a&#32;&#32;b&#xA0;c&amp;d"),
        "space comments": text("a<!-- x -->b"),
        "space cdata": text("a<![CDATA[ <b> ]]>c"),
    },
)

SPACING = many(
    "CSS Text 3, 8; SVG 2, 11.5: spacing and lengths",
    {
        "spacing letters": text("Spacing", 'x="20" y="60" letter-spacing="5"'),
        "spacing negative": text("Spacing", 'x="20" y="60" letter-spacing="-3"'),
        "spacing em": text("Spacing", 'x="20" y="60" letter-spacing=".3em"'),
        "spacing percent": text("Spacing", 'x="20" y="60" letter-spacing="10%"'),
        "spacing in a tspan": text('Spa<tspan letter-spacing="8">cin</tspan>g'),
        "spacing ligature": text(
            "office", 'x="20" y="60" letter-spacing="4"', 'font-family="DejaVu Serif" font-size="24"'
        ),
        "spacing words": text("a b c", 'x="20" y="60" word-spacing="15"'),
        "spacing words negative": text("a b c", 'x="20" y="60" word-spacing="-5"'),
        "spacing both": text("ab cd", 'x="20" y="60" word-spacing="15" letter-spacing="3"'),
        "spacing normal": text("ab cd", 'x="20" y="60" letter-spacing="normal"'),
        "length": text("Length", 'x="20" y="60" textLength="150"'),
        "length shorter": text("Length", 'x="20" y="60" textLength="60"'),
        "length glyphs": text("Length", 'x="20" y="60" textLength="150" lengthAdjust="spacingAndGlyphs"'),
        "length glyphs shorter": text("Length", 'x="20" y="60" textLength="50" lengthAdjust="spacingAndGlyphs"'),
        "length of a tspan": text('ab<tspan textLength="80">cde</tspan>f'),
        "length anchored": text("Length", 'x="100" y="60" text-anchor="middle" textLength="150"'),
        "length zero": text("Length", 'x="20" y="60" textLength="0"'),
        "length negative": text("Length", 'x="20" y="60" textLength="-5"'),
        "length one letter": text("L", 'x="20" y="60" textLength="100"'),
        "length percent": text("Length", 'x="20" y="60" textLength="50%"'),
    },
)

BASELINES = many(
    "SVG 2, 11.10.2: baselines",
    {
        f"baseline {v}": text("Hgx", f'x="20" y="80" dominant-baseline="{v}"')
        for v in (
            "auto",
            "alphabetic",
            "middle",
            "central",
            "hanging",
            "mathematical",
            "text-before-edge",
            "text-after-edge",
            "ideographic",
            "use-script",
            "no-change",
            "reset-size",
            "text-top",
            "text-bottom",
        )
    }
    | {
        f"alignment {v}": text(f'Hg<tspan alignment-baseline="{v}">Hgx</tspan>', 'x="20" y="80"')
        for v in (
            "auto",
            "baseline",
            "middle",
            "central",
            "hanging",
            "text-before-edge",
            "text-after-edge",
            "before-edge",
            "after-edge",
            "ideographic",
            "mathematical",
        )
    }
    | {
        f"shift {v}": text(f'Hg<tspan baseline-shift="{v}">2x</tspan>n', 'x="20" y="80"')
        for v in ("sub", "super", "10", "-10", "40%", "-.5em", "baseline", "wibble")
    }
    | {
        "shift nested": text(
            'H<tspan baseline-shift="super">g<tspan baseline-shift="super">x</tspan></tspan>n', 'x="20" y="80"'
        ),
        "shift smaller": text('H<tspan baseline-shift="super" font-size="60%">gx</tspan>n', 'x="20" y="80"'),
        "shift back": text(
            'H<tspan baseline-shift="10">g<tspan baseline-shift="-10">x</tspan></tspan>n', 'x="20" y="80"'
        ),
        "alignment on text": text("Hgx", 'x="20" y="80" alignment-baseline="middle"'),
    },
)

DECORATION = many(
    "SVG 2, 11.12: text-decoration",
    {
        f"decoration {v}": text("Typing", f'x="20" y="80" text-decoration="{v}"')
        for v in ("underline", "overline", "line-through", "underline overline line-through", "none", "blink")
    }
    | {
        "decoration of a tspan": text('Ty<tspan text-decoration="underline">pi</tspan>ng'),
        "decoration colour of the asker": text(
            'Ty<tspan fill="red">pi</tspan>ng', 'x="20" y="80" fill="teal" text-decoration="underline"'
        ),
        "decoration nested": text(
            'Ty<tspan fill="red" text-decoration="overline">pi</tspan>ng',
            'x="20" y="80" fill="teal" text-decoration="underline"',
        ),
        "decoration stroke": text("Typing", 'x="20" y="80" text-decoration="underline" stroke="red" fill="none"'),
        "decoration with dy": text('Ty<tspan dy="10">pi</tspan>ng', 'x="20" y="80" text-decoration="underline"'),
        "decoration rotated": text("Typing", 'x="20" y="80" text-decoration="underline" rotate="20"'),
        "decoration spaced": text("Typing", 'x="20" y="80" text-decoration="underline" letter-spacing="6"'),
        "decoration larger tspan": text(
            'Ty<tspan font-size="40">pi</tspan>ng', 'x="20" y="80" text-decoration="underline"'
        ),
        "decoration on a group": page(
            '<g text-decoration="underline" font-family="DejaVu Sans" font-size="24"><text x="20" y="60">Typing</text></g>'
        ),
        "decoration in style": text("Typing", 'x="20" y="80" style="text-decoration:line-through"'),
        "decoration x list": text("Typing", 'x="20 60 90" y="80" text-decoration="underline"'),
    },
)


def large(document: str) -> str:
    """The same document ten times as large inside: resvg measures paths to half a unit only."""
    inner = document.replace("<svg ", "<svg viewBox='0 0 2000 2000' ", 1).replace('viewBox="0 0 200 200"', "", 1)
    head, _, rest = inner.partition(">")
    return f"{head}>{TENFOLD.sub(_tenfold, rest)}"


TENFOLD = re.compile(
    r'(?<![a-z])(d|x|y|dx|dy|r|cx|cy|width|height|font-size|startOffset|letter-spacing|textLength|transform|baseline-shift)="([^"]*)"'
)


def _tenfold(match: re.Match) -> str:
    if "%" in match[2]:
        return match[0]
    body = re.sub(r"-?\d+", lambda m: str(10 * int(m[0])), match[2])
    return f'{match[1]}="{body}"'


CURVE = '<path id="p" d="M20 120C60 20 120 20 180 120" fill="none" stroke="#ccc"/>'


def along(attributes: str, words: str = "Words on a curve", path: str = CURVE, outer: str = "") -> str:
    return page(
        f'{path}<text font-family="DejaVu Sans" font-size="20" {outer}><textPath xlink:href="#p" {attributes}>{words}</textPath></text>'
    )


PATHS = many(
    "SVG 2, 11.8: text on a path",
    {
        "path": along(""),
        "path offset": along('startOffset="30"'),
        "path offset percent": along('startOffset="30%"'),
        "path offset negative": along('startOffset="-30"'),
        "path middle": along('startOffset="50%" text-anchor="middle"'),
        "path end": along('startOffset="100%" text-anchor="end"'),
        "path too long": along("", "Far too many words for such a curve"),
        "path tspan": along("", 'Words <tspan fill="red" font-weight="bold">on</tspan> it'),
        "path tspan dy": along("", 'Words <tspan dy="-10">on</tspan> it'),
        "path dx": along("", 'Wo<tspan dx="20">rds</tspan>'),
        "path spacing": along('letter-spacing="4"'),
        "path rotate": along('rotate="20"', outer='rotate="20"'),
        "path missing": page(
            '<text font-family="DejaVu Sans"><textPath xlink:href="#q">no</textPath></text><circle cx="50" cy="50" r="9"/>'
        ),
        "path closed": along(
            "", path='<path id="p" d="M50 100c0 -66 100 -66 100 0c0 66 -100 66 -100 0z" fill="none" stroke="#ccc"/>'
        ),
        "path transformed": along(
            "", path='<path id="p" transform="translate(0 40)" d="M20 120C60 20 120 20 180 120" fill="none"/>'
        ),
        "path two subpaths": along("", path='<path id="p" d="M20 60H100M20 120H180" fill="none" stroke="#ccc"/>'),
        "path corners": along("", path='<path id="p" d="M20 120L100 40L180 120" fill="none" stroke="#ccc"/>'),
        "path href": page(
            f'{CURVE}<text font-family="DejaVu Sans" font-size="20"><textPath href="#p">Words on it</textPath></text>'
        ),
        "path words before": page(
            f'{CURVE}<text font-family="DejaVu Sans" font-size="20" x="10" y="20">Before <textPath href="#p">Words on it</textPath></text>'
        ),
        "path words after": page(
            f'{CURVE}<text font-family="DejaVu Sans" font-size="20"><textPath href="#p">Words on it</textPath><tspan x="20" y="180">after</tspan></text>'
        ),
        "path decoration": along('text-decoration="underline"'),
        "path text x and y": along("", outer='x="30" y="10"'),
        "path text dy": along("", outer='dy="10"'),
        "path baseline": along("", 'W<tspan baseline-shift="super">rds</tspan>'),
        "path of a rect": along(
            "", path='<rect id="p" x="40" y="40" width="120" height="120" fill="none" stroke="#ccc"/>'
        ),
        "path of a circle": along("", path='<circle id="p" cx="100" cy="100" r="60" fill="none" stroke="#ccc"/>'),
        "path side right": along('side="right"'),
        "path method stretch": along('method="stretch"'),
        "path text length": along("", outer='textLength="120"'),
        "path two": page(
            f'{CURVE}<text font-family="DejaVu Sans" font-size="20"><textPath href="#p">One</textPath><textPath href="#p" startOffset="60%">Two</textPath></text>'
        ),
    },
)

PAINT = many(
    "SVG 2, 11 and 13: painted words",
    {
        "paint stroke": text("Hgx", 'x="20" y="100" stroke="red" stroke-width="2" fill="none" font-size="80"'),
        "paint both": text("Hgx", 'x="20" y="100" stroke="red" stroke-width="4" fill="teal" font-size="80"'),
        "paint order": text(
            "Hgx", 'x="20" y="100" stroke="red" stroke-width="6" fill="teal" font-size="80" paint-order="stroke"'
        ),
        "paint opacity": text("Hgx", 'x="20" y="100" opacity=".5" font-size="80"'),
        "paint fill-opacity": text("Hgx", 'x="20" y="100" fill-opacity=".4" fill="red" font-size="80"'),
        "paint gradient": page(
            '<linearGradient id="g"><stop offset="0" stop-color="red"/><stop offset="1" stop-color="blue"/></linearGradient><text x="10" y="100" font-size="70" font-family="DejaVu Sans" fill="url(#g)">Hgxi</text>'
        ),
        "paint gradient on a tspan": page(
            '<linearGradient id="g"><stop offset="0" stop-color="red"/><stop offset="1" stop-color="blue"/></linearGradient><text x="10" y="100" font-size="70" font-family="DejaVu Sans">Hg<tspan fill="url(#g)">xi</tspan></text>'
        ),
        "paint tspans": text('<tspan fill="red">a</tspan><tspan fill="green">b</tspan><tspan fill="blue">c</tspan>'),
        "paint hidden tspan": text('a<tspan visibility="hidden">b</tspan>c'),
        "paint shown in hidden": text('a<tspan visibility="visible">b</tspan>c', 'x="20" y="60" visibility="hidden"'),
        "paint no display tspan": text('a<tspan display="none">b</tspan>c'),
        "paint dashed": text(
            "Hg", 'x="20" y="100" stroke="red" stroke-width="2" stroke-dasharray="5 3" fill="none" font-size="80"'
        ),
        "paint clipped": page(
            '<clipPath id="c"><rect x="0" y="50" width="200" height="30"/></clipPath><text x="10" y="100" font-size="70" font-family="DejaVu Sans" clip-path="url(#c)">Hgxi</text>'
        ),
        "paint as a clip": page(
            '<clipPath id="c"><text x="10" y="100" font-size="70" font-family="DejaVu Sans">Hgxi</text></clipPath><rect width="200" height="200" fill="teal" clip-path="url(#c)"/>'
        ),
        "paint class": page(
            '<style>.a{fill:red;font:bold 40px DejaVu Sans}</style><text class="a" x="20" y="80">Class</text>'
        ),
        "paint css on tspan": page(
            '<style>tspan{fill:red} text{font-family:DejaVu Sans;font-size:30px}</style><text x="20" y="80">a<tspan>b</tspan></text>'
        ),
        "paint link": text('a <a href="#x" fill="blue">link</a> b'),
        "paint use": page(
            '<defs><text id="t" font-family="DejaVu Sans" font-size="30">used</text></defs><use href="#t" x="20" y="60"/><use href="#t" x="40" y="120" fill="red"/>'
        ),
        "paint in a symbol": page(
            '<symbol id="s" viewBox="0 0 100 50"><text y="30" font-family="DejaVu Sans" font-size="30">sym</text></symbol><use href="#s" width="180" height="90"/>'
        ),
        "paint switch": page(
            '<switch><text systemLanguage="de" x="10" y="50">de</text><text x="10" y="50" font-family="DejaVu Sans" font-size="30">en</text></switch>'
        ),
        "paint overlapping": text("WWW", 'x="20" y="100" letter-spacing="-20" fill-opacity=".5" font-size="60"'),
        "paint conditional tspan": text('a<tspan systemLanguage="de">b</tspan><tspan systemLanguage="en">c</tspan>'),
    },
)

SCRIPTS = many(
    "Unicode UAX 9; SVG 2, 11.4.1: scripts",
    {
        "script accents": text("Ärger é ñ ç"),
        "script combining": text("e\u0301 a\u0308 n\u0303 o\u0302\u0301"),
        "script greek": text("Ελληνικά"),
        "script cyrillic": text("Кириллица"),
        "script arabic": text("العربية"),
        "script hebrew": text("שלום עולם", font='font-family="DejaVu Sans" font-size="24"'),
        "script bidi": text("abc العربية def"),
        "script bidi numbers": text("abc 123 العربية 456"),
        "script arabic end": text("العربية", 'x="180" y="60" text-anchor="end"'),
        "script arabic spaced": text("العربية", 'x="20" y="60" letter-spacing="5"'),
        "script arabic x list": text("العربية", 'x="150 120 90" y="60"'),
        "script arabic tspan": text('الع<tspan fill="red">رب</tspan>ية'),
        "script direction rtl": text("abc", 'x="150" y="60" direction="rtl"'),
        "script georgian": text("ქართული"),
        "script symbols": text("☀☂✈♞∑√"),
        "script astral": text("𝔸𝔹 x"),
        "script fallback": text("ab ∀∃", font='font-family="DejaVu Sans Mono" font-size="24"'),
        "script zero-width joiner": text("a\u200db\u200cc"),
    },
)

VERTICAL = many(
    "SVG 2, 11.10: writing-mode",
    {
        "vertical tb": text("Hgx ab", 'x="100" y="30" writing-mode="tb"'),
        "vertical rl": text("Hgx ab", 'x="100" y="30" style="writing-mode:vertical-rl"'),
        "vertical middle": text("Hgx", 'x="100" y="100" writing-mode="tb" text-anchor="middle"'),
        "vertical spaced": text("Hgx", 'x="100" y="30" writing-mode="tb" letter-spacing="5"'),
        "vertical tspan dx": text('H<tspan dx="10">g</tspan>x', 'x="100" y="30" writing-mode="tb"'),
        "vertical tspan dy": text('H<tspan dy="10">g</tspan>x', 'x="100" y="30" writing-mode="tb"'),
        "vertical lr": text("Hgx", 'x="100" y="30" writing-mode="lr"'),
        "vertical on a tspan": text('H<tspan writing-mode="tb">gx</tspan>'),
        "vertical underline": text("Hgx", 'x="100" y="30" writing-mode="tb" text-decoration="underline"'),
        "vertical rotate": text("Hgx", 'x="100" y="30" writing-mode="tb" rotate="20"'),
    },
)

PATHS = {name: (section, large(text)) for name, (section, text) in PATHS.items()}

DOCUMENTS = FONT | PLACES | ANCHORS | SPACES | SPACING | BASELINES | DECORATION | PATHS | PAINT | SCRIPTS | VERTICAL

DIFFERENT = {
    "font weight lighter": "CSS Fonts 4, 2.2.1: lighter than 700 is 400",
    "font shorthand": "CSS Fonts 4, 2.7: style and height in the shorthand",
    "font size keyword": "CSS Fonts 4, 2.5: large is 6/5 of medium",
    "space white-space pre": "SVG 2, 11.7.1 has the property",
    "space preserve in a tspan": "resvg drops another blank where preserved and collapsed ones meet",
    "space default in preserve": "resvg drops another blank where preserved and collapsed ones meet",
    "spacing percent": "CSS Text 3, 8.2 has no percentages",
    "spacing ligature": "CSS Text 3, 8.2: no ligatures in spaced words",
    "length of a tspan": "SVG 2, 11.5: nothing is added after its last letter",
    "length anchored": "SVG 2, 11.5: lengths are settled before the anchor",
    "path text length": "SVG 2, 11.5",
    "baseline text-top": "CSS Inline 3, 4.1 has the value",
    "baseline text-bottom": "CSS Inline 3, 4.1 has the value",
    "path side right": "SVG 2, 11.8.2 has the attribute",
    "script direction rtl": "SVG 2, 11.10.2: the start of a right-to-left line is right",
}
"""Where resvg departs from the standard, and what the standard says."""
AWAITED = ("vertical underline",)
