"""Small inputs of our own invention that the fuzzing starts from."""

from __future__ import annotations

import gzip
import importlib
import io
import json
import pkgutil

from wallwright.document.document import Document
from wallwright.document.project import encode_project

SVG_HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="200" height="200">'
)


def drawings() -> list[bytes]:
    """Every document that reading is compared with resvg on: one rule of SVG each; and some that are read otherwise."""
    from tests.artwork import documents

    texts: list[str] = []
    for module in pkgutil.iter_modules(documents.__path__):
        found = importlib.import_module(f"{documents.__name__}.{module.name}").DOCUMENTS
        texts += [t for t in _texts(found) if len(t) < 4000]
    whole = [t if "<svg" in t[:200] else f"{SVG_HEAD}{t}</svg>" for t in texts]
    sheet = f"{SVG_HEAD}<style>.a>rect:not(#b){{fill:#c03020 !important}} @font-face{{font-family:x}} * {{stroke:teal}}</style>"
    entity = f'<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY a "#c03020">]>{SVG_HEAD}<rect fill="&a;" width="9" height="9"/></svg>'
    whole += [
        sheet + '<g class="a b"><rect id="a" width="20" height="20" style="fill:none;stroke-width:2%"/></g></svg>',
        entity,
    ]
    return [
        *(w.encode() for w in whole),
        gzip.compress(whole[0].encode(), mtime=0),
        whole[1].encode("utf-16"),
    ]


def _texts(found: object) -> list[str]:
    """The texts in what a module of documents holds, whatever it arranges them in."""
    if isinstance(found, str):
        return [found] if "<" in found else []
    if isinstance(found, dict):
        return [t for v in found.values() for t in _texts(v)]
    if isinstance(found, list | tuple):
        return [t for v in found for t in _texts(v)]
    return [t for v in vars(found).values() for t in _texts(v)] if hasattr(found, "__dict__") else []


def pictures() -> list[bytes]:
    """PNG, JPEG and WebP of every depth and kind, a few pixels each."""
    from PIL import Image, ImageCms

    base = Image.linear_gradient("L").resize((16, 12))
    colour = Image.merge("RGB", (base, base.rotate(90), base.rotate(180)))
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    exif = Image.Exif()
    exif[0x0112] = 6
    found = []
    for mode in ("1", "L", "LA", "P", "RGB", "RGBA", "I;16"):
        found.append(_saved(base.convert("I;16") if mode == "I;16" else colour.convert(mode), "PNG"))
    found.append(_saved(colour.convert("P"), "PNG", transparency=3))
    found.append(_saved(colour, "PNG", icc_profile=profile))
    found += [_saved(colour.convert(mode), "JPEG") for mode in ("L", "RGB", "CMYK")]
    found.append(_saved(colour, "JPEG", exif=exif, progressive=True, icc_profile=profile))
    found += [_saved(colour, "WEBP", lossless=True), _saved(colour.convert("RGBA"), "WEBP", quality=50)]
    found.append(_saved(colour, "WEBP", save_all=True, append_images=[colour.rotate(90)]))
    return found


def _saved(image, form: str, **options: object) -> bytes:
    buffer = io.BytesIO()
    image.save(buffer, form, **options)
    return buffer.getvalue()


def fonts() -> list[bytes]:
    """A font of three letters, as TrueType with and without compression, and as a collection."""
    from fontTools.fontBuilder import FontBuilder
    from fontTools.pens.ttGlyphPen import TTGlyphPen
    from fontTools.ttLib import TTCollection, TTFont

    builder = FontBuilder(1000, isTTF=True)
    names = [".notdef", "A", "B", "f"]
    builder.setupGlyphOrder(names)
    builder.setupCharacterMap({ord(n): n for n in names[1:]})
    shapes = {}
    for i, name in enumerate(names):
        pen = TTGlyphPen(None)
        pen.moveTo((50, 0))
        pen.lineTo((250, 700 - 50 * i))
        pen.qCurveTo((400, 900), (500, 0))
        pen.closePath()
        shapes[name] = pen.glyph()
    builder.setupGlyf(shapes)
    builder.setupHorizontalMetrics(dict.fromkeys(names, (600, 50)))
    builder.setupHorizontalHeader(ascent=800, descent=-200)
    builder.setupNameTable({"familyName": "Three Letters", "styleName": "Regular"})
    builder.setupOS2(sTypoAscender=800, usWinAscent=800, usWinDescent=200)
    builder.setupPost()
    plain = io.BytesIO()
    builder.save(plain)
    packed, collected = io.BytesIO(), io.BytesIO()
    font = TTFont(io.BytesIO(plain.getvalue()))
    font.flavor = "woff"
    font.save(packed)
    collection = TTCollection()
    collection.fonts = [TTFont(io.BytesIO(plain.getvalue()))]
    collection.save(collected)
    return [plain.getvalue(), packed.getvalue(), collected.getvalue()]


def document() -> Document:
    """A document with something in every part of it."""
    from wallwright.document import edits, edits_photo
    from wallwright.document.wall import KeepOut

    drawn = f"{SVG_HEAD}<rect width='20' height='10'/></svg>".encode()
    whole = edits.add_artwork(Document(), "a.svg", "image/svg+xml", drawn, (20.0, 10.0))[0]
    whole = edits.add_artwork(whole, "b.png", "image/png", pictures()[0], (16.0, 12.0))[0]
    whole = edits_photo.add_photo(whole, "photo.png", "image/png", pictures()[1], (16, 12))
    door = KeepOut("door", ((100.0, 900.0), (300.0, 900.0), (300.0, 1500.0)))
    return edits.replace(whole, wall=edits.replace(whole.wall, keep_outs=(door,)))


def projects() -> list[bytes]:
    return [encode_project(document()), encode_project(Document())]


def clips() -> list[bytes]:
    from wallwright.document import artwork_exchange

    whole = document()
    return [artwork_exchange.encode_clip(whole, [p.id for p in whole.placements])]


def tables() -> list[bytes]:
    """Lists of readings as they are filled in, by every usual spreadsheet."""
    readings = (
        "kind,from,to,mm,uncertainty\ndistance,A1,A2,1000.5,0.7\nacross,A1,B2,-20,\ndown,A1,B2,,1\n",
        "mark,x,y,right,down\n1,200,300,1.5,-2\n2,800,300,,\n",
    )
    found = []
    for text in readings:
        found += [
            text,
            text.replace(",", ";").replace(".", ","),
            text.replace(",", "\t"),
            text.replace("\n", "\r\n"),
        ]
        found += ['"' + text.replace(",", '","').replace("\n", '"\n"')[:-1]]
    return [*(t.encode() for t in found), readings[0].encode("utf-8-sig"), readings[1].encode("utf-16")]


def made() -> list[bytes]:
    from wallwright.document import generated_artwork

    return [
        generated_artwork.encode(m)
        for m in (
            generated_artwork.TextArtwork("High\nwater"),
            generated_artwork.HelperFigure("grid"),
            generated_artwork.chart_of(document()),
        )
    ]


def settings() -> list[bytes]:
    """The person's settings file, saved walls and machines, and what stands beside recovered work."""
    from wallwright.document.saved_presets import SavedPresets

    kept = SavedPresets().with_wall("Hall", document()).with_machine("Mine", document())
    import msgspec

    return [
        b"[General]\nlanguage=de\nrecent=/a.wallwright, /b.wallwright\ninches%20on%20rulers=yes\n"
        b'[screens]\nscale="@Variant(\\0\\0\\0\\x87@\\n=q)"\n',
        msgspec.json.encode(kept),
        json.dumps({"path": "/a.wallwright"}).encode(),
    ]


def pages() -> list[bytes]:
    """What other programs put on the clipboard."""
    return [
        b'<html><body><p>a</p><svg width="9" height="9"><g><svg/><path d="M0 0h9"/></g></svg><svg/></body></html>',
        b'<img alt="x" src="data:image/png;base64,iVBORw0KGgo="><img src=\'data:image/svg+xml,%3Csvg/%3E\'>',
        b"data:image/svg+xml;charset=utf-8;base64,PHN2Zy8+",
    ]


def programs() -> list[bytes]:
    """RS-274 programs in the form that is exported."""
    lines = [
        "(Wallwright)",
        "(X left belt, Y right belt)",
        "G21 G90",
        "G0 Z5",
        "(stroke 1 of 3)",
        "G1 X1200.5 Y1300.25 F600",
        "G0 Z0",
        "G1 X1210 Y1310",
        "G1 X1220.125 Y1290",
        "G0 Z5",
        "(stroke 2 of 3)",
        "G1 X1100 Y1250",
        "G0 Z0",
        "G3 X1150 Y1300 I20 J10",
        "G2 X1160 Y1310 I5 J-5",
        "G0 Z5",
        "(The rest of a job: strokes 2 to 3, the first from 10.5 mm on)",
        "(stroke 3 of 3)",
        "G1 X900 Y1000",
        "G0 Z0",
        "G1 X910 Y1010",
        "G0 Z5",
        "M2",
    ]
    text = "\n".join(lines) + "\n"
    return [text.encode(), text.replace("left belt", "right").encode(), text.replace("\n", "\r\n").encode()]
