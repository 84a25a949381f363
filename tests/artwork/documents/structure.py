"""SVG documents of one structural feature each: name -> (section, document)."""

from __future__ import annotations

import re

NS = 'xmlns="http://www.w3.org/2000/svg"'
XLINK = 'xmlns:xlink="http://www.w3.org/1999/xlink"'


def page(body: str, attributes: str = 'viewBox="0 0 200 200"') -> str:
    return f"<svg {NS} {XLINK} {attributes}>{body}</svg>"


def root(
    attributes: str,
    body: str = '<rect x="10%" y="10" width="40%" height="40" fill="teal"/><circle cx="60" cy="70" r="20" fill="#c33"/>',
) -> str:
    return page(body, attributes)


def many(section: str, pages: dict[str, str]) -> dict[str, tuple[str, str]]:
    return {name: (section, text) for name, text in pages.items()}


ROOT = many(
    "SVG 2, 8.2 and 8.6: size of the page",
    {
        "root width and height": root('width="120" height="90"'),
        "root viewBox only": root('viewBox="0 0 120 90"'),
        "root width and viewBox": root('width="60" viewBox="0 0 120 90"'),
        "root height and viewBox": root('height="45" viewBox="0 0 120 90"'),
        "root percent size": root('width="50%" height="50%" viewBox="0 0 120 90"'),
        "root percent width only": root('width="50%" viewBox="0 0 120 90"'),
        "root no size at all": root(""),
        "root no size, x and y": page('<rect x="20" y="30" width="100" height="60" fill="teal"/>', ""),
        "root mm": root('width="25.4mm" height="50.8mm"'),
        "root em": root('width="10em" height="8em"'),
        "root offset viewBox": root('width="100" height="100" viewBox="20 30 80 50"'),
        "root negative viewBox corner": root('width="100" height="100" viewBox="-20 -30 120 120"'),
        "root viewBox with commas": root('width="100" height="100" viewBox="0,0,120 , 120"'),
        "root viewBox with exponents": root('width="100" height="100" viewBox="0 0 1.2e2 12e1"'),
        "root stretched": root('width="150" height="60" viewBox="0 0 120 120" preserveAspectRatio="none"'),
        "root slice": root('width="150" height="60" viewBox="0 0 120 120" preserveAspectRatio="xMidYMid slice"'),
        "root with x and y": root('x="20" y="30" width="120" height="90"'),
        "root with a transform": root('width="120" height="120" transform="rotate(20)"'),
        "root with a style": root(
            'width="120" height="120" style="fill:navy;opacity:.5"', '<rect width="60" height="60"/>'
        ),
        "root with display none": root('width="120" height="120" display="none"'),
        "root fill inherited": root(
            'width="120" height="120" fill="orange" stroke="black" stroke-width="4"',
            '<rect x="10" y="10" width="60" height="60"/>',
        ),
        "root overflow visible": root('width="120" height="120" overflow="visible" viewBox="0 0 60 60"'),
        "root upper case units": root('width="120PX" height="60PX"'),
        "root in points": root('width="90pt" height="6pc"'),
        "root background": root('width="120" height="90" viewBox="0 0 60 45" style="background-color:orange"'),
        "root width in css": root('viewBox="0 0 120 90" style="width:60px;height:45px"'),
    },
)

ASPECTS = many(
    "SVG 1.1, 7.8: preserveAspectRatio",
    {
        f"aspect {align} {rule} {w}x{h}": page(
            f'<rect x="10" y="10" width="{w}" height="{h}" fill="#ddd"/><svg x="10" y="10" width="{w}" height="{h}" viewBox="0 0 50 50" '
            f'preserveAspectRatio="{align} {rule}"><circle cx="25" cy="25" r="25" fill="teal"/><rect width="15" height="10" fill="#c33"/></svg>'
        )
        for align in ("xMinYMin", "xMidYMax", "xMaxYMid", "none")
        for rule in ("meet", "slice", "")
        for w, h in ((150, 60), (60, 150))
    }
    | {
        "aspect with defer": page(
            '<svg x="10" y="10" width="150" height="60" viewBox="0 0 50 50" preserveAspectRatio="defer xMinYMin meet"><circle cx="25" cy="25" r="25"/></svg>'
        ),
        "aspect unknown word": page(
            '<svg x="10" y="10" width="150" height="60" viewBox="0 0 50 50" preserveAspectRatio="middle"><circle cx="25" cy="25" r="25"/></svg>'
        ),
        "aspect with blanks": page(
            '<svg x="10" y="10" width="150" height="60" viewBox="0 0 50 50" preserveAspectRatio="  xMaxYMid   meet "><circle cx="25" cy="25" r="25"/></svg>'
        ),
        "aspect of a symbol": page(
            '<symbol id="s" viewBox="0 0 50 50" preserveAspectRatio="xMaxYMax slice"><circle cx="25" cy="25" r="25" fill="navy"/></symbol><use xlink:href="#s" x="20" y="20" width="150" height="80"/>'
        ),
    },
)

STAR = '<path d="M0 -30L18 24L-28 -9H28L-18 24z"/>'
NESTED = many(
    "SVG 1.1, 7.9: nested viewports",
    {
        "nested": page('<svg x="20" y="30" width="100" height="80"><rect width="200" height="200" fill="teal"/></svg>'),
        "nested without size": page('<svg><rect width="50%" height="50%" fill="teal"/></svg>'),
        "nested x only": page('<svg x="40" y="20"><rect width="100%" height="50%" fill="teal"/></svg>'),
        "nested percent": page(
            '<svg x="10%" y="20%" width="50%" height="40%"><rect width="100%" height="100%" fill="teal"/><circle cx="50%" cy="50%" r="25%" fill="#fff"/></svg>'
        ),
        "nested percent in viewBox": page(
            '<svg x="10" y="10" width="100" height="50" viewBox="0 0 40 40"><rect width="50%" height="50%" fill="teal"/><line x1="0" y1="0" x2="100%" y2="100%" stroke="red" stroke-width="5%"/></svg>'
        ),
        "nested in nested": page(
            '<svg x="20" y="20" width="100" height="100" viewBox="0 0 50 50"><svg x="10" y="10" width="30" height="30" viewBox="0 0 10 10"><circle cx="5" cy="5" r="6" fill="#c33"/></svg></svg>'
        ),
        "nested zero width": page(
            '<svg width="0" height="50"><rect width="50" height="50"/></svg><rect x="100" width="50" height="50" fill="teal"/>'
        ),
        "nested negative width": page(
            '<svg width="-10" height="50"><rect width="50" height="50"/></svg><rect x="100" width="50" height="50" fill="teal"/>'
        ),
        "nested overflow visible": page(
            '<svg x="20" y="20" width="50" height="50" overflow="visible"><circle cx="50" cy="50" r="40"/></svg>'
        ),
        "nested overflow auto": page(
            '<svg x="20" y="20" width="50" height="50" overflow="auto"><circle cx="50" cy="50" r="40"/></svg>'
        ),
        "nested overflow scroll": page(
            '<svg x="20" y="20" width="50" height="50" overflow="scroll"><circle cx="50" cy="50" r="40"/></svg>'
        ),
        "nested overflow inherit": page(
            '<g overflow="visible"><svg x="20" y="20" width="50" height="50" overflow="inherit"><circle cx="50" cy="50" r="40"/></svg></g>'
        ),
        "nested overflow in style": page(
            '<style>svg svg{overflow:visible}</style><svg x="20" y="20" width="50" height="50"><circle cx="50" cy="50" r="40"/></svg>'
        ),
        "nested turned": page(
            '<g transform="rotate(25 100 100)"><svg x="50" y="50" width="80" height="60"><circle cx="50" cy="50" r="50" fill="navy"/></svg></g>'
        ),
        "nested own transform": page(
            '<svg x="50" y="50" width="80" height="60" transform="rotate(10)"><circle cx="50" cy="50" r="50" fill="navy"/></svg>'
        ),
        "nested opacity": page(
            '<svg x="50" y="50" width="80" height="60" opacity=".4"><rect width="80" height="60" fill="navy"/></svg>'
        ),
        "nested viewBox zero": page(
            '<svg width="80" height="60" viewBox="0 0 0 0"><rect width="80" height="60" fill="navy"/></svg><circle cx="150" cy="150" r="20"/>'
        ),
        "nested viewBox negative": page(
            '<svg width="80" height="60" viewBox="0 0 -10 10"><rect width="80" height="60" fill="navy"/></svg><circle cx="150" cy="150" r="20"/>'
        ),
        "nested viewBox broken": page(
            '<svg width="80" height="60" viewBox="0 0 ten 10"><rect width="80" height="60" fill="navy"/></svg><circle cx="150" cy="150" r="20"/>'
        ),
        "nested display none": page(
            '<svg width="80" height="60" display="none"><rect width="80" height="60" fill="navy"/></svg><circle cx="150" cy="150" r="20"/>'
        ),
        "nested viewBox without size": page(
            '<svg x="20" y="20" viewBox="0 0 400 200"><rect width="400" height="200" fill="teal"/><circle cx="200" cy="100" r="90" fill="#fff"/></svg>'
        ),
        "nested stroke over edge": page(
            '<svg x="20" y="20" width="100" height="100"><rect width="100" height="100" fill="none" stroke="#c33" stroke-width="20"/></svg>'
        ),
        "nested rotated content": page(
            '<svg x="20" y="20" width="100" height="100"><g transform="rotate(30)"><rect width="100" height="60" fill="#39c"/></g></svg>'
        ),
    },
)

USE = many(
    "SVG 1.1, 5.6 and SVG 2, 5.5: use and symbol",
    {
        "use": page(
            f'<defs><g id="a">{STAR}</g></defs><use xlink:href="#a" x="60" y="60"/><use href="#a" transform="translate(130 130) rotate(30)" fill="#c33"/>'
        ),
        "use of a shape in place": page(
            '<rect id="a" x="10" y="10" width="40" height="40" fill="teal"/><use xlink:href="#a" x="60" y="60"/>'
        ),
        "use both hrefs": page(
            '<defs><rect id="a" width="40" height="40" fill="teal"/><rect id="b" width="40" height="40" fill="red"/></defs><use href="#a" xlink:href="#b"/>'
        ),
        "use percent": page(
            '<defs><rect id="a" width="40" height="40" fill="teal"/></defs><use href="#a" x="25%" y="50%"/>'
        ),
        "use of use": page(
            '<defs><rect id="a" width="40" height="40"/><use id="b" href="#a" x="20" fill="teal"/></defs><use href="#b" y="30" fill="red"/>'
        ),
        "use style inherits from use": page(
            '<style>#a rect{stroke:navy} g.x{fill:orange}</style><defs><g id="a"><rect x="5" y="5" width="40" height="40" stroke-width="4"/></g></defs><g class="x"><use href="#a"/></g><use href="#a" x="80" fill="teal"/>'
        ),
        "use css child rule on original": page(
            '<style>g > rect{fill:teal} use rect{fill:red}</style><defs><g><rect id="a" width="40" height="40"/></g></defs><use href="#a"/>'
        ),
        "use of missing": page('<use href="#none"/><circle cx="50" cy="50" r="30"/>'),
        "use of itself": page('<use id="u" href="#u"/><circle cx="50" cy="50" r="30"/>'),
        "use of its parent": page('<g id="g"><use href="#g"/><circle cx="50" cy="50" r="30"/></g>'),
        "use in a ring": page(
            '<g id="g"><use href="#h"/></g><g id="h"><use href="#g"/></g><circle cx="50" cy="50" r="30"/>'
        ),
        "use of another file": page('<use href="other.svg#a"/><circle cx="50" cy="50" r="30"/>'),
        "use empty href": page('<use href=""/><circle cx="50" cy="50" r="30"/>'),
        "use no href": page('<use x="5"/><circle cx="50" cy="50" r="30"/>'),
        "use with width on a shape": page(
            '<defs><rect id="a" width="40" height="40"/></defs><use href="#a" width="90" height="90"/>'
        ),
        "use of nested svg": page(
            '<defs><svg id="a" width="40" height="40" viewBox="0 0 10 10"><circle cx="5" cy="5" r="5" fill="teal"/></svg></defs><use href="#a"/><use href="#a" x="50" y="50" width="100" height="80"/>'
        ),
        "use of nested svg with x": page(
            '<defs><svg id="a" x="10" y="20" width="40" height="40"><rect width="90" height="90" fill="teal"/></svg></defs><use href="#a" x="50" y="50"/>'
        ),
        "use of nested svg, one size": page(
            '<defs><svg id="a" width="40" height="40" viewBox="0 0 10 10"><circle cx="5" cy="5" r="5" fill="teal"/></svg></defs><use href="#a" width="90"/>'
        ),
        "use display none inside": page(
            '<defs><g id="a"><rect width="40" height="40" display="none"/><circle cx="60" cy="60" r="20"/></g></defs><use href="#a"/>'
        ),
        "use of display none": page(
            '<rect id="a" width="40" height="40" display="none"/><use href="#a" x="20"/><circle cx="100" cy="60" r="20"/>'
        ),
        "use of visibility": page(
            '<g visibility="hidden"><rect id="a" width="40" height="40"/></g><use href="#a" x="50"/>'
        ),
        "use opacity": page(
            '<defs><rect id="a" width="80" height="80" fill="navy" opacity=".5"/></defs><use href="#a" x="20" y="20" opacity=".5"/>'
        ),
        "use of a in defs": page(
            '<defs><a id="a"><rect width="40" height="40" fill="teal"/></a></defs><use href="#a"/>'
        ),
        "use of text is turned": page(
            '<defs><path id="a" d="M0 0h60v30z"/></defs><use href="#a" x="50" y="50" transform="rotate(45)"/>'
        ),
        "use of clipPath": page(
            '<clipPath id="a"><rect width="40" height="40"/></clipPath><use href="#a"/><circle cx="100" cy="60" r="20"/>'
        ),
        "use of gradient": page('<linearGradient id="a"/><use href="#a"/><circle cx="100" cy="60" r="20"/>'),
        "use with bad x": page(
            '<defs><rect id="a" width="40" height="40"/></defs><use href="#a" x="abc"/><circle cx="100" cy="60" r="20"/>'
        ),
        "use currentColor": page(
            '<defs><rect id="a" width="40" height="40" fill="currentColor"/></defs><g color="teal"><use href="#a"/></g><use href="#a" x="60" color="#c33"/>'
        ),
        "use of switch": page(
            '<defs><switch id="a"><rect systemLanguage="zz" width="40" height="40" fill="red"/><rect width="40" height="40" fill="teal"/></switch></defs><use href="#a" x="20"/>'
        ),
        "use transform order": page(
            '<defs><rect id="a" width="40" height="20" transform="rotate(30)"/></defs><use href="#a" x="50" y="10" transform="scale(2)"/>'
        ),
        "symbol": page(
            '<symbol id="s" viewBox="0 0 20 20"><circle cx="10" cy="10" r="10"/></symbol><use href="#s" x="10" y="10" width="80" height="80" fill="teal"/><use href="#s" x="100" y="100" width="80" height="40"/>'
        ),
        "symbol without viewBox": page(
            '<symbol id="s"><circle cx="10" cy="10" r="60" fill="teal"/></symbol><use href="#s" x="50" y="50" width="40" height="40"/>'
        ),
        "symbol without size": page(
            '<symbol id="s" viewBox="0 0 20 20"><circle cx="10" cy="10" r="10" fill="teal"/></symbol><use href="#s"/>'
        ),
        "symbol with own size": page(
            '<symbol id="s" viewBox="0 0 20 20" width="50" height="50"><circle cx="10" cy="10" r="10" fill="teal"/></symbol><use href="#s"/>'
        ),
        "symbol x and y": page(
            '<symbol id="s" x="20" y="30" width="50" height="50"><rect width="50" height="50" fill="teal"/></symbol><use href="#s"/>'
        ),
        "symbol never drawn itself": page(
            '<symbol><circle cx="50" cy="50" r="50"/></symbol><rect width="20" height="20"/>'
        ),
        "symbol overflow visible": page(
            '<symbol id="s" viewBox="0 0 20 20" overflow="visible"><circle cx="20" cy="20" r="10" fill="teal"/></symbol><use href="#s" x="40" y="40" width="60" height="60"/>'
        ),
        "symbol transform": page(
            '<symbol id="s" viewBox="0 0 20 20" transform="rotate(20)"><rect width="20" height="20" fill="teal"/></symbol><use href="#s" x="60" y="20" width="80" height="80"/>'
        ),
        "symbol in symbol": page(
            '<symbol id="t"><rect width="15" height="15" fill="orange"/></symbol><symbol id="s" viewBox="0 0 20 20"><circle cx="10" cy="10" r="10"/><use href="#t" width="10" height="10"/></symbol><use href="#s" x="10" y="10" width="100" height="100"/>'
        ),
        "symbol style": page(
            '<symbol id="s" fill="teal" opacity=".5"><rect width="80" height="80"/></symbol><use href="#s" fill="red"/>'
        ),
        "symbol display none": page(
            '<symbol id="s" display="none"><rect width="80" height="80"/></symbol><use href="#s"/><circle cx="150" cy="150" r="20"/>'
        ),
        "symbol percent size": page(
            '<symbol id="s" viewBox="0 0 20 20"><rect width="100%" height="50%" fill="teal"/></symbol><use href="#s" x="10%" y="10%" width="50%" height="50%"/>'
        ),
        "symbol zero size": page(
            '<symbol id="s" viewBox="0 0 20 20"><rect width="20" height="20" fill="red"/></symbol><use href="#s" width="0" height="50"/><circle cx="150" cy="150" r="20"/>'
        ),
        "symbol use with transform": page(
            '<symbol id="s" viewBox="0 0 20 20"><rect width="20" height="20" fill="teal"/></symbol><use href="#s" x="60" y="10" width="50" height="50" transform="rotate(30) scale(1.5 1)"/>'
        ),
        "symbol clipped": page(
            '<clipPath id="c"><circle cx="50" cy="50" r="40"/></clipPath><symbol id="s" clip-path="url(#c)"><rect width="100" height="100" fill="teal"/></symbol><use href="#s" x="20" y="20"/>'
        ),
    },
)

BOXES = {"A": "red", "B": "teal", "C": "navy"}


def boxes(body: str) -> str:
    """A page; [A attributes] stands for a red box, B for a teal and C for a navy one."""
    return page(
        re.sub(
            r"\[([ABC]) ?([^]]*)\]",
            lambda m: f'<rect {m[2]} width="60" height="60" fill="{BOXES[m[1]]}"/>',
            body,
        )
    )


SWITCH = many(
    "SVG 1.1, 5.8: switch and conditions",
    {
        "switch first": boxes('<switch>[B][A x="50"]</switch>'),
        "switch extension": boxes('<switch>[A requiredExtensions="http://example.org/x"][B]</switch>'),
        "switch empty extension": boxes('<switch>[A requiredExtensions=""][B]</switch>'),
        "switch feature": boxes('<switch>[B requiredFeatures="http://www.w3.org/TR/SVG11/feature#Shape"][A]</switch>'),
        "switch unknown feature": boxes('<switch>[B requiredFeatures="http://example.org/none"][A]</switch>'),
        "switch language en": boxes('<switch>[A systemLanguage="de"][B systemLanguage="en"][A]</switch>'),
        "switch language en-US": boxes('<switch>[B systemLanguage="en-US"][A]</switch>'),
        "switch language list": boxes('<switch>[B systemLanguage="de, en"][A]</switch>'),
        "switch language empty": boxes('<switch>[A systemLanguage=""][B]</switch>'),
        "switch language eng": boxes('<switch>[A systemLanguage="eng"][B]</switch>'),
        "switch display none first": page(
            '<switch><rect display="none" width="60" height="60"/><rect width="60" height="60" fill="teal"/></switch>'
        ),
        "switch in a switch": boxes(
            '<switch><switch>[A systemLanguage="de"]</switch>[B]</switch><circle cx="150" cy="150" r="20"/>'
        ),
        "switch group": boxes('<switch><g systemLanguage="en">[B][C x="80"]</g>[A]</switch>'),
        "switch unknown element": boxes("<switch><wibble/>[B]</switch>"),
        "switch unknown namespace": boxes('<switch><x:y xmlns:x="urn:x"/>[B]</switch>'),
        "switch style and transform": boxes('<switch transform="translate(30 30)" opacity=".5">[B]</switch>'),
        "switch with defs": boxes('<switch><defs><rect id="r" width="10" height="10"/></defs>[B]</switch>'),
        "switch foreignObject": boxes(
            '<switch><foreignObject requiredExtensions="http://www.w3.org/1999/xhtml" width="50" height="50"><p xmlns="http://www.w3.org/1999/xhtml">no</p></foreignObject><g>[B]</g></switch>'
        ),
        "switch none passes": boxes('<switch>[A systemLanguage="de"]</switch><circle cx="150" cy="150" r="20"/>'),
        "conditions outside switch": boxes('[A systemLanguage="de"]<circle cx="150" cy="150" r="20"/>'),
        "extensions outside switch": boxes('[A requiredExtensions="urn:none"]<circle cx="150" cy="150" r="20"/>'),
        "group with language": boxes('<g systemLanguage="de">[A]</g><circle cx="150" cy="150" r="20"/>'),
    },
)

CSS = many(
    "CSS 2.1, 5 and 6.4; SVG 1.1, 6: style sheets",
    {
        name: page(f"<style>{sheet}</style>{body}")
        for name, (sheet, body) in {
            "css type": ("rect{fill:teal}", '<rect width="90" height="90"/>'),
            "css universal": ("*{fill:teal}", '<rect width="90" height="90"/>'),
            "css class list": (".b{fill:teal}", '<rect class="a b c" width="90" height="90"/>'),
            "css two classes": (
                ".a.b{fill:teal} .a{fill:red}",
                '<rect class="a b" width="90" height="90"/><rect class="a" x="100" width="50" height="50"/>',
            ),
            "css attribute": ("rect[width]{fill:teal}", '<rect width="90" height="90"/>'),
            "css attribute value": (
                "rect[width='90']{fill:teal} [x='100']{fill:navy}",
                '<rect width="90" height="90"/><rect x="100" width="50" height="50"/>',
            ),
            "css attribute starts": ("[id^=ab]{fill:teal}", '<rect id="abc" width="90" height="90"/>'),
            "css attribute ends": ("[id$=bc]{fill:teal}", '<rect id="abc" width="90" height="90"/>'),
            "css attribute holds": ("[id*=b]{fill:teal}", '<rect id="abc" width="90" height="90"/>'),
            "css attribute word": ("[class~=b]{fill:teal}", '<rect class="a b" width="90" height="90"/>'),
            "css attribute dash": ("[lang|=en]{fill:teal}", '<rect lang="en-GB" width="90" height="90"/>'),
            "css first-child": (
                "rect:first-child{fill:teal}",
                '<g><rect width="60" height="90"/><rect x="80" width="60" height="90"/></g>',
            ),
            "css descendant": (
                "g rect{fill:teal}",
                '<g><g><rect width="60" height="90"/></g></g><rect x="80" width="60" height="90"/>',
            ),
            "css child": (
                "g>rect{fill:teal}",
                '<g><rect width="60" height="90"/><a><rect x="80" width="60" height="90"/></a></g>',
            ),
            "css next": (
                "circle+rect{fill:teal}",
                '<circle r="9"/><rect width="60" height="90"/><rect x="80" width="60" height="90"/>',
            ),
            "css specificity": (
                "#a{fill:teal} rect.b{fill:red} rect{fill:navy}",
                '<rect id="a" class="b" width="60" height="90"/>',
            ),
            "css order": ("rect{fill:red} rect{fill:teal}", '<rect width="60" height="90"/>'),
            "css beats attribute": ("rect{fill:teal}", '<rect fill="red" width="60" height="90"/>'),
            "css style beats css": ("#a{fill:red}", '<rect id="a" style="fill:teal" width="60" height="90"/>'),
            "css important": ("rect{fill:teal !important}", '<rect style="fill:red" width="60" height="90"/>'),
            "css important twice": ("rect{fill:teal !important} #a{fill:red}", '<rect id="a" width="60" height="90"/>'),
            "css important in style": (
                "rect{fill:red !important}",
                '<rect style="fill:teal !important" width="60" height="90"/>',
            ),
            "css list": ("rect,circle{fill:teal}", '<rect width="60" height="90"/><circle cx="130" cy="50" r="40"/>'),
            "css comment": ("/* a */rect/* b */{/* c */fill:/* d */teal/* e */}", '<rect width="60" height="90"/>'),
            "css cdata": ("<![CDATA[ rect{fill:teal} ]]>", '<rect width="60" height="90"/>'),
            "css cdata child": ("<![CDATA[ g > rect{fill:teal} ]]>", '<g><rect width="60" height="90"/></g>'),
            "css import": ("@import url(x.css); rect{fill:teal}", '<rect width="60" height="90"/>'),
            "css media": ("@media screen{rect{fill:red}} circle{fill:teal}", '<circle cx="50" cy="50" r="40"/>'),
            "css font-face": (
                "@font-face{font-family:x;src:url(x.ttf)} rect{fill:teal}",
                '<rect width="60" height="90"/>',
            ),
            "css broken rule": ("rect{fill:teal;;stroke:;stroke-width:5} circle{", '<rect width="60" height="90"/>'),
            "css unknown selector": ("rect:wibble{fill:red} circle{fill:teal}", '<circle cx="50" cy="50" r="40"/>'),
            "css upper case property": ("rect{FILL:teal}", '<rect width="60" height="90"/>'),
            "css semicolons": (
                ";rect{fill:teal}",
                '<rect width="60" height="90"/><circle cx="130" cy="50" r="40" style=";;fill:navy;;"/>',
            ),
            "css inherit": (
                "g{fill:teal;opacity:.5} rect{opacity:inherit;fill:inherit}",
                '<g><rect width="60" height="90"/></g>',
            ),
            "css transform": ("rect{transform:translate(50px,20px) rotate(20deg)}", '<rect width="60" height="90"/>'),
            "css transform none": (
                "rect{transform:none}",
                '<rect width="60" height="90" transform="translate(40 40)"/>',
            ),
            "css geometry is not read": ("rect{width:90px}", '<rect width="60" height="90" fill="teal"/>'),
            "css marker shorthand": ("path{marker:none;fill:teal}", '<path d="M0 0h90v60z"/>'),
            "css not": ("rect:not(.a){fill:red} .a{fill:teal}", '<rect class="a" width="60" height="90"/>'),
            "css last order of attribute and type": (
                "rect[x]{fill:teal} rect{fill:red}",
                '<rect x="3" width="60" height="90"/>',
            ),
            "css id with dash": ("#a-b_c{fill:teal}", '<rect id="a-b_c" width="60" height="90"/>'),
            "css uppercase tag": ("RECT{fill:red} circle{fill:teal}", '<circle cx="50" cy="50" r="40"/>'),
            "css xlink attribute": (
                "use{fill:teal}",
                '<defs><rect id="r" width="60" height="90"/></defs><use xlink:href="#r"/>',
            ),
            "css style in px": (
                "rect{stroke:teal;stroke-width:10px;fill:none}",
                '<rect x="20" y="20" width="60" height="90"/>',
            ),
            "css stroke style": (
                "line{stroke:teal;stroke-width:1em;stroke-dasharray:20px,10}",
                '<line x1="10" y1="50" x2="190" y2="50"/>',
            ),
            "css root": (":root{fill:teal}", '<rect width="60" height="90"/>'),
        }.items()
    }
    | {
        "css type attribute": page('<style type="text/css">rect{fill:teal}</style><rect width="60" height="90"/>'),
        "css empty type": page('<style type="">rect{fill:teal}</style><rect width="60" height="90"/>'),
        "css wrong type": page('<style type="text/less">rect{fill:red}</style><rect width="60" height="90"/>'),
        "css after its use": page('<rect width="60" height="90"/><style>rect{fill:teal}</style>'),
        "css two sheets": page(
            '<style>rect{fill:red}</style><rect width="60" height="90"/><style>rect{fill:teal}</style>'
        ),
        "css in defs": page('<defs><style>rect{fill:teal}</style></defs><rect width="60" height="90"/>'),
        "css in nested svg": page('<svg><style>rect{fill:teal}</style></svg><rect width="60" height="90"/>'),
        "style attribute": page(
            '<rect style="fill:teal;stroke:black;stroke-width:5" x="9" y="9" width="60" height="90"/>'
        ),
        "style attribute blanks": page(
            '<rect style=" fill : teal ; stroke :  black " x="9" y="9" width="60" height="90"/>'
        ),
        "style attribute comment": page('<rect style="/* no */fill:teal;/*x*/" x="9" y="9" width="60" height="90"/>'),
        "style attribute broken": page(
            '<rect style="fill:teal;:;wibble;stroke-width:4;stroke" x="9" y="9" width="60" height="90"/>'
        ),
        "style attribute unknown property": page('<rect style="-x-y:z;fill:teal;zoom:3" width="60" height="90"/>'),
        "attribute in wrong case": page('<rect FILL="red" width="60" height="90"/>'),
        "attribute bad value inherits": page(
            '<g fill="teal"><rect stroke-width="wibble" width="60" height="90" stroke="navy"/></g>'
        ),
        "bad fill-rule": page('<path fill-rule="wibble" d="M10 10h80v80h-80zM30 30h40v40h-40z" fill="teal"/>'),
        "style beats attribute": page('<rect style="fill:teal" fill="red" width="60" height="90"/>'),
        "duplicate ids": page(
            '<defs><rect id="a" width="60" height="60" fill="teal"/><circle id="a" r="40" fill="red"/></defs><use href="#a"/>'
        ),
    },
)

BOX = '<rect x="20" y="20" width="60" height="40" fill="teal" {}/><circle cx="150" cy="150" r="20"/>'
TRANSFORMS = many(
    "SVG 1.1, 7.6 and CSS Transforms 1: transform",
    {
        f"transform {value or 'empty'}": page(BOX.format(f'transform="{value}"'))
        for value in (
            "translate(30)",
            "translate(30,20)",
            "translate(30 20)",
            "scale(1.5)",
            "scale(2 .5)",
            "scale(-1 1) translate(-100)",
            "rotate(30)",
            "rotate(30 50 50)",
            "rotate(30,50,50)",
            "skewX(20)",
            "skewY(20)",
            "matrix(1 .2 .3 1 10 20)",
            "matrix(1,.2,.3,1,10,20)",
            "translate(10 20)rotate(20)",
            "translate(10 20),rotate(20)",
            " translate( 10 , 20 ) ",
            "translate (10 20)",
            "scale(0)",
            "scale(1 0)",
            "",
            "none",
            "translate(10 20) wibble(3)",
            "wibble(3)",
            "translate(10",
            "rotate(30 50)",
            "translate(1e1 2E1)",
            "scale(.5.5)",
            "matrix(1 0 0 1 10)",
            "translate(10 20);",
            "rotate(30deg)",
            "translate(10px 20px)",
            "scale(1,2,3)",
            "translate(10-5)",
            "rotate(360)",
            "matrix(1 0 0 0 0 0)",
            "rotate(30 50 50 50)",
            "scale(-1)",
        )
    }
    | {
        "transform on a group": page(
            f'<g transform="translate(50 20) scale(.5)"><g transform="rotate(45)">{BOX.format("")}</g></g>'
        ),
        "transform in style": page(BOX.format('style="transform:rotate(20deg) translate(30px, 10px)"')),
        "symbol transform": "SVG 2, 5.5: symbols may have a transform",
        "transform in style beats attribute": page(
            BOX.format('style="transform:translate(60px,60px)" transform="translate(10 10)"')
        ),
        "transform-origin": page(BOX.format('transform="rotate(30)" transform-origin="50 40"')),
        "transform-origin in style": page(BOX.format('style="transform:rotate(30deg);transform-origin:50px 40px"')),
        "transform-origin center": page(BOX.format('transform="rotate(30)" transform-origin="center"')),
        "transform-origin percent": page(BOX.format('transform="rotate(30)" transform-origin="50% 50%"')),
        "transform-origin top left": page(BOX.format('transform="rotate(30)" transform-origin="right top"')),
        "transform-origin one value": page(BOX.format('transform="rotate(10)" transform-origin="60"')),
        "transform-origin on a group": page(
            f'<g transform="rotate(30)" transform-origin="100 100">{BOX.format("")}</g>'
        ),
        "transform-box fill-box": page(
            BOX.format('style="transform:rotate(30deg);transform-box:fill-box;transform-origin:center"')
        ),
        "transform stroke": page(
            '<line x1="20" y1="20" x2="60" y2="40" stroke="teal" stroke-width="6" transform="scale(2)"/><circle cx="30" cy="60" r="9" fill="none" stroke="red" stroke-width="4" transform="scale(3 1)"/>'
        ),
        "transform units in turn": page(BOX.format('style="transform:rotate(0.1turn)"')),
        "transform grad": page(BOX.format('style="transform:rotate(20grad) skewX(.2rad)"')),
        "transform percent": page(BOX.format('style="transform:translate(10%,20%)"')),
        "transform translateX": page(BOX.format('style="transform:translateX(30px) translateY(20px) scaleX(1.5)"')),
    },
)

UNITS = many(
    "SVG 1.1, 7.10 and CSS Values 3, 5 and 6: lengths",
    {
        f"length {value}": page(
            f'<rect x="10" y="10" width="{value}" height="40" fill="teal"/><circle cx="150" cy="150" r="20"/>'
        )
        for value in (
            "50",
            "50px",
            "5em",
            "5ex",
            "1in",
            "2cm",
            "20mm",
            "40pt",
            "4pc",
            "30%",
            "+50",
            "5e1",
            ".5e2",
            "50.",
            "50PX",
            "5EM",
            "40q",
            "50 px",
            "-5",
            "0",
            "",
            "abc",
            "50foo",
            "5e",
            "5ch",
            "5rem",
            "auto",
            "calc(20px + 5px)",
            "1e40",
            "50,",
            " 50 ",
        )
    }
    | {
        f"unit on {name}": page(body)
        for name, body in {
            "line": '<line x1="10%" y1="1cm" x2="90%" y2="50%" stroke="teal" stroke-width="2mm"/>',
            "circle": '<circle cx="50%" cy="30%" r="10%" fill="teal"/>',
            "ellipse": '<ellipse cx="50%" cy="30%" rx="40%" ry="5em" fill="teal"/>',
            "em of a font size": '<g font-size="8"><rect width="10em" height="6ex" fill="teal"/></g>',
            "em of a nested font size": '<g font-size="20"><g font-size="50%"><rect width="10em" height="6em" fill="teal"/></g></g>',
            "em of em": '<g font-size="20"><g font-size=".5em"><rect width="10em" height="6em" fill="teal"/></g></g>',
            "font size larger": '<g font-size="larger"><rect width="4em" height="6em" fill="teal"/></g>',
            "font size keyword": '<g font-size="xx-large"><rect width="4em" height="2em" fill="teal"/></g>',
            "font size in style": '<g style="font-size:0.5in"><rect width="3em" height="2em" fill="teal"/></g>',
            "font size negative": '<g font-size="-5"><rect width="3em" height="2em" fill="teal"/></g><circle cx="150" cy="150" r="20"/>',
            "font size of the root": "",
            "rx": '<rect x="10" y="10" width="80%" height="60%" rx="10%" ry="5%" fill="teal"/>',
            "stroke-width percent": '<rect x="30" y="30" width="80" height="60" stroke-width="5%" stroke="teal" fill="none"/>',
            "dasharray em": '<line x1="10" y1="50" x2="190" y2="50" stroke-width="8" stroke="teal" stroke-dasharray="1em .5em"/>',
            "polygon": '<polygon points="10 10, 100,10 100 100" fill="teal"/>',
            "rect no width": '<rect height="30" fill="red"/><circle cx="150" cy="150" r="20"/>',
            "circle no r": '<circle cx="50" cy="50"/><circle cx="150" cy="150" r="20"/>',
            "circle negative r": '<circle cx="50" cy="50" r="-10"/><circle cx="150" cy="150" r="20"/>',
            "ellipse one radius": '<ellipse cx="50" cy="50" rx="30"/><ellipse cx="150" cy="50" ry="20"/>',
            "bad points": '<polyline points="10,10 100,10 wib 50" fill="teal"/><circle cx="150" cy="150" r="20"/>',
            "odd points": '<polyline points="10,10 100,10 100 90 4" fill="teal"/><circle cx="150" cy="150" r="20"/>',
            "bad x": '<rect x="wibble" y="10" width="50" height="50" fill="teal"/><circle cx="150" cy="150" r="20"/>',
            "bad path end": '<path d="M10 10L100 10L100 100L wibble" fill="teal"/><circle cx="150" cy="150" r="20"/>',
            "bad path middle": '<path d="M10 10H100V100 # H10z" fill="none" stroke="teal" stroke-width="5"/><circle cx="150" cy="150" r="20"/>',
            "path not begun by M": '<path d="L10 10L100 10L100 100" fill="teal"/><circle cx="150" cy="150" r="20"/>',
            "path lone M": '<path d="M10 10" stroke="teal" stroke-width="9"/><circle cx="150" cy="150" r="20"/>',
            "path packed arc flags": '<path d="M20 80a40 40 0 0180 0a20 20 0 10-40 40" fill="none" stroke="teal" stroke-width="4"/>',
            "path packed numbers": '<path d="M20-.5.5.5l50.5.5.5 50-30-20z" fill="teal"/>',
            "path many M": '<path d="M10 10 60 10 60 60M100 100 150 100 150 150" fill="none" stroke="teal" stroke-width="4"/>',
            "path after close": '<path d="M10 10h40v40zl80 60h30z" fill="none" stroke="teal" stroke-width="4"/>',
            "path smooth": '<path d="M10 80C40 10 65 10 95 80S150 150 180 80M10 120Q50 60 90 120T170 120" fill="none" stroke="teal" stroke-width="4"/>',
            "path smooth alone": '<path d="M10 80S65 10 95 80T150 150" fill="none" stroke="teal" stroke-width="4"/>',
            "path arc radius too small": '<path d="M20 100A10 20 30 0 1 160 60" fill="none" stroke="teal" stroke-width="4"/>',
            "path arc zero radius": '<path d="M20 100A0 20 30 0 1 160 60" fill="none" stroke="teal" stroke-width="4"/>',
            "path arc negative radius": '<path d="M20 100A-80 -50 30 0 1 160 60" fill="none" stroke="teal" stroke-width="4"/>',
        }.items()
        if body
    }
    | {
        "unit of the root's font": page(
            '<rect width="5em" height="5rem" fill="teal"/>', 'viewBox="0 0 200 200" font-size="20"'
        ),
    },
)

XML = many(
    "XML 1.0 and Namespaces in XML",
    {
        "xml prefix": '<svg:svg xmlns:svg="http://www.w3.org/2000/svg" viewBox="0 0 200 200"><svg:rect width="90" height="90" fill="teal"/></svg:svg>',
        "xml odd prefix": '<q:svg xmlns:q="http://www.w3.org/2000/svg" viewBox="0 0 200 200"><q:g fill="teal"><q:rect width="90" height="90"/></q:g></q:svg>',
        "xml xlink by another prefix": f'<svg {NS} xmlns:l="http://www.w3.org/1999/xlink" viewBox="0 0 200 200"><defs><rect id="r" width="90" height="90" fill="teal"/></defs><l:x/><use l:href="#r"/></svg>',
        "xml foreign elements": page(
            '<x:rect xmlns:x="urn:x" width="190" height="190"/><rect width="90" height="90" fill="teal"/>'
        ),
        "xml foreign group": page(
            '<x:g xmlns:x="urn:x"><rect width="190" height="190"/></x:g><rect width="90" height="90" fill="teal"/>'
        ),
        "xml foreign attributes": page('<rect x:width="10" xmlns:x="urn:x" width="90" height="90" fill="teal"/>'),
        "xml entity": f'<!DOCTYPE svg [<!ENTITY c "teal"><!ENTITY r "&lt;x">]><svg {NS} viewBox="0 0 200 200"><rect width="90" height="90" fill="&c;"/></svg>',
        "xml entity element": f"<!DOCTYPE svg [<!ENTITY r \"<rect width='90' height='90' fill='teal'/>\">]><svg {NS} viewBox=\"0 0 200 200\">&r;</svg>",
        "xml entity of style": f'<!DOCTYPE svg [<!ENTITY s "fill:teal;stroke:black;">]><svg {NS} viewBox="0 0 200 200"><rect x="9" y="9" width="90" height="90" style="&s;"/></svg>',
        "xml entity of namespace": '<!DOCTYPE svg [<!ENTITY ns "http://www.w3.org/2000/svg">]><svg xmlns="&ns;" viewBox="0 0 200 200"><rect x="9" y="9" width="90" height="90"/></svg>',
        "xml doctype": f'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd"><svg {NS} viewBox="0 0 200 200"><rect x="9" y="9" width="90" height="90"/></svg>',
        "xml comments": page(
            '<!-- a --><rect <!-- --> width="1"/>'.replace("<!-- --> ", "")
            + '<!-- <rect width="100" height="100"/> --><rect width="90" height="90" fill="teal"/>'
        ),
        "xml processing instruction": f'<?xml version="1.0" encoding="UTF-8"?><?x y?><svg {NS} viewBox="0 0 200 200"><rect width="90" height="90" fill="teal"/></svg>',
        "xml charref": page('<rect width="9&#48;" height="&#x39;0" fill="teal"/>'),
        "xml ids that are not ascii": page(
            '<defs><rect id="größe" width="90" height="90" fill="teal"/></defs><use href="#größe"/>'
        ),
        "xml unknown element": page(
            '<wibble><rect width="190" height="190"/></wibble><rect width="90" height="90" fill="teal"/>'
        ),
    },
)

GROUPS = many(
    "SVG 1.1, 5.2, 14.5, 17.1: groups, opacity, links",
    {
        "group": page(
            '<g fill="teal" stroke="black"><rect x="5" y="5" width="60" height="60"/><g fill="navy"><circle cx="120" cy="60" r="30"/></g></g>'
        ),
        "group opacity": page(
            '<g opacity=".5"><rect x="5" y="5" width="90" height="90" fill="teal"/><circle cx="100" cy="80" r="50" fill="#c33"/></g>'
        ),
        "group opacity nested": page(
            '<g opacity=".6"><g opacity=".5"><rect x="5" y="5" width="90" height="90" fill="teal"/></g><circle cx="100" cy="80" r="50" fill="#c33"/></g>'
        ),
        "group opacity zero": page(
            '<g opacity="0"><rect width="90" height="90"/></g><circle cx="100" cy="80" r="50" fill="#c33"/>'
        ),
        "group opacity percent": page('<g opacity="40%"><rect width="90" height="90"/></g>'),
        "group opacity over": page('<g opacity="3"><rect width="90" height="90"/></g>'),
        "group opacity bad": page('<g opacity="wibble"><rect width="90" height="90"/></g>'),
        "group opacity of fill and stroke": page(
            '<rect opacity=".5" x="30" y="30" width="90" height="90" fill="teal" stroke="black" stroke-width="30"/>'
        ),
        "group empty": page('<g/><g></g><rect width="90" height="90"/>'),
        "group display none": page(
            '<g display="none"><rect width="90" height="90" display="inline"/></g><circle cx="100" cy="80" r="50"/>'
        ),
        "link": page('<a href="http://example.org"><rect width="90" height="90" fill="teal"/></a>'),
        "link xlink": page(
            '<a xlink:href="http://example.org" fill="teal" transform="translate(20 20)"><rect width="90" height="90"/></a>'
        ),
        "link in link": page('<a href="#x"><a href="#y"><rect width="90" height="90" fill="teal"/></a></a>'),
        "defs draw nothing": page('<defs><rect width="190" height="190"/></defs><circle cx="100" cy="80" r="50"/>'),
        "title and desc": page(
            '<title>t</title><desc>d</desc><rect width="90" height="90" fill="teal"><title>x</title></rect>'
        ),
        "shape in a shape": page('<rect width="90" height="90" fill="teal"><circle cx="100" cy="80" r="50"/></rect>'),
        "metadata": page(
            '<metadata><rect width="190" height="190"/></metadata><rect width="90" height="90" fill="teal"/>'
        ),
        "script": page('<script>var x = "y";</script><rect width="90" height="90" fill="teal"/>'),
        "foreignObject": page(
            '<foreignObject width="100" height="100"><p xmlns="http://www.w3.org/1999/xhtml">x</p></foreignObject><rect x="100" width="90" height="90" fill="teal"/>'
        ),
        "animate": page(
            '<rect width="90" height="90" fill="teal"><animate attributeName="width" from="9" to="190" dur="1s"/></rect>'
        ),
        "set": page('<rect width="90" height="90" fill="teal"><set attributeName="fill" to="red"/></rect>'),
        "view": page('<view id="v" viewBox="0 0 10 10"/><rect width="90" height="90" fill="teal"/>'),
        "visibility collapse": page(
            '<rect width="90" height="90" visibility="collapse"/><circle cx="150" cy="150" r="20"/>'
        ),
        "visibility of a group": page(
            '<g visibility="hidden"><rect width="90" height="90"/><circle cx="150" cy="150" r="20" visibility="visible"/></g>'
        ),
        "isolation": page('<g style="isolation:isolate"><rect width="90" height="90" fill="teal"/></g>'),
    },
)

DOCUMENTS = ROOT | ASPECTS | NESTED | USE | SWITCH | CSS | TRANSFORMS | UNITS | XML | GROUPS

DIFFERENT = {
    "root upper case units": "CSS Values 3, 5: units know no case",
    "length 50PX": "CSS Values 3, 5: units know no case",
    "length 5EM": "CSS Values 3, 5: units know no case",
    "length  50 ": "SVG 2, 4.2: blanks about a value do not count",
    "length 40q": "CSS Values 3, 6.2 has the quarter millimetre",
    "nested zero width": "SVG 1.1, 5.1.2: zero disables rendering",
    "nested negative width": "SVG 1.1, 5.1.2: negative is an error",
    "nested viewBox zero": "SVG 1.1, 7.7: zero disables rendering",
    "symbol zero size": "SVG 1.1, 5.6: zero disables rendering",
    "symbol percent size": "SVG 1.1, 7.10: percentages in a symbol are of its viewBox",
    "use in a ring": "resvg refuses the file; here the circular use is left out",
    "css attribute starts": "Selectors 3, 6.3.2",
    "css attribute ends": "Selectors 3, 6.3.2",
    "css attribute holds": "Selectors 3, 6.3.2",
    "css root": "Selectors 3, 6.6.4.1",
    "css important in style": "CSS 2.1, 6.4.1: an important style attribute is the stronger one",
    "css upper case property": "CSS 2.1, 4.1.3: properties know no case",
    "css semicolons": "CSS 2.1, 4.1.8: empty declarations do no harm",
    "css transform": "CSS Transforms 1, 8: units in style sheets",
    "transform in style": "CSS Transforms 1, 8",
    "symbol transform": "SVG 2, 5.5: symbols may have a transform",
    "transform in style beats attribute": "CSS Transforms 1, 8",
    "transform-origin in style": "CSS Transforms 1, 8",
    "transform units in turn": "CSS Values 3, 7.1",
    "transform grad": "CSS Values 3, 7.1",
    "transform percent": "CSS Transforms 1, 12",
    "transform translateX": "CSS Transforms 1, 12.1",
    "transform-box fill-box": "CSS Transforms 1, 8: units in style sheets",
    "unit on font size keyword": "CSS Fonts 4, 2.5: xx-large is twice medium",
    "unit on font size negative": "CSS Fonts 4, 2.5: a negative size counts as not given",
}
"""Where resvg departs from the standard, and what the standard says."""
