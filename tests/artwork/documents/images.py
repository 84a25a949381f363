"""SVG documents with pictures in them, one feature each: name -> (section, document)."""

from __future__ import annotations

import base64
import io

import numpy as np
from PIL import Image

from tests.artwork.documents.structure import many, page


def photo(kind: str = "PNG", width: int = 24, height: int = 16, alpha: bool = False) -> str:
    """A made-up picture as a data: URI: two slopes of colour and a disc."""
    y, x = np.mgrid[0:height, 0:width]
    rgba = np.stack(
        [255 * x / (width - 1), 255 * y / (height - 1), 255 - 255 * x / (width - 1), np.full(x.shape, 255.0)],
        axis=2,
    )
    disc = np.hypot(x - width / 2, y - height / 2) < height / 3
    rgba[disc] = (30, 30, 30, 255)
    if alpha:
        rgba[..., 3] = 255 * y / (height - 1)
    image = Image.fromarray(rgba.astype(np.uint8))
    if kind in ("JPEG", "GIF"):
        image = image.convert("RGB")
    data = io.BytesIO()
    image.save(data, kind, **({"lossless": True} if kind == "WEBP" else {"quality": 95} if kind == "JPEG" else {}))
    return f"data:image/{kind.lower()};base64,{base64.b64encode(data.getvalue()).decode()}"


DRAWING = '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="30"><style>rect{fill:teal}</style><rect width="30" height="20"/><circle cx="30" cy="20" r="15" fill="#c33"/></svg>'
INNER = "data:image/svg+xml;base64," + base64.b64encode(DRAWING.encode()).decode()
PNG = photo()


def image(attributes: str, uri: str = PNG, outer: str = "") -> str:
    return page(f'{outer}<image {attributes} xlink:href="{uri}"/>')


PICTURES = many(
    "SVG 2, 12.3: image",
    {
        "image png": image('x="20" y="20" width="150" height="100"'),
        "image jpeg": image('x="20" y="20" width="150" height="100"', photo("JPEG", 120, 80)),
        "image webp": image('x="20" y="20" width="150" height="100"', photo("WEBP")),
        "image gif": image('x="20" y="20" width="150" height="100"', photo("GIF")),
        "image alpha": image('x="20" y="20" width="150" height="100"', photo(alpha=True)),
        "image href": page(f'<image x="20" y="20" width="150" height="100" href="{PNG}"/>'),
        "image no size": image('x="20" y="20"'),
        "image width only": image('x="20" y="20" width="120"'),
        "image height only": image('x="20" y="20" height="120"'),
        "image zero": image('x="20" y="20" width="0" height="50"', outer='<rect width="9" height="9"/>'),
        "image percent": image('x="10%" y="10%" width="50%" height="50%"'),
        "image meet": image('x="20" y="20" width="160" height="60"'),
        "image slice": image('x="20" y="20" width="160" height="60" preserveAspectRatio="xMidYMid slice"'),
        "image slice end": image('x="20" y="20" width="60" height="160" preserveAspectRatio="xMaxYMax slice"'),
        "image stretched": image('x="20" y="20" width="60" height="160" preserveAspectRatio="none"'),
        "image min": image('x="20" y="20" width="60" height="160" preserveAspectRatio="xMinYMin meet"'),
        "image turned": image('x="60" y="20" width="100" height="80" transform="rotate(20)"'),
        "image opacity": image('x="20" y="20" width="150" height="100" opacity=".4"'),
        "image clipped": image(
            'x="20" y="20" width="150" height="100" clip-path="url(#c)"',
            outer='<clipPath id="c"><circle cx="90" cy="70" r="40"/></clipPath>',
        ),
        "image squares": image('x="20" y="20" width="150" height="100" image-rendering="optimizeSpeed"'),
        "image shrunk": image('x="20" y="20" width="60" height="40"', photo("PNG", 60, 40)),
        "image elsewhere": image('width="50" height="50"', "other.png", '<rect width="9" height="9"/>'),
        "image broken": image('width="50" height="50"', PNG[:200], '<rect width="9" height="9"/>'),
        "image hidden": image('width="50" height="50" visibility="hidden"', outer='<rect width="9" height="9"/>'),
        "image used": page(
            f'<defs><image id="i" width="60" height="40" xlink:href="{PNG}"/></defs><use xlink:href="#i" x="20" y="20"/><use xlink:href="#i" x="100" y="90"/>'
        ),
        "image svg": image('x="20" y="20" width="150" height="100"', INNER),
        "image svg no size": image('x="20" y="20"', INNER),
        "image svg slice": image('x="20" y="20" width="150" height="60" preserveAspectRatio="xMidYMid slice"', INNER),
        "image svg outer style": image(
            'x="20" y="20" width="150" height="100"', INNER, "<style>rect,circle{fill:orange}</style>"
        ),
        "image svg plain": image(
            'x="20" y="20" width="150" height="100"',
            "data:image/svg+xml;utf8,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 10 10'%3E%3Ccircle cx='5' cy='5' r='4'/%3E%3C/svg%3E",
        ),
        "image wrong kind said": image(
            'x="20" y="20" width="150" height="100"', PNG.replace("image/png", "image/jpeg")
        ),
        "image no kind said": image('x="20" y="20" width="150" height="100"', PNG.replace("image/png", "")),
    },
)

DOCUMENTS = PICTURES

DIFFERENT = {
    "image svg": "SVG 2, 12.3: what leaves the picture's box is hidden",
    "image svg no size": "SVG 2, 12.3: what leaves the picture's box is hidden",
    "image svg outer style": "SVG 2, 12.3: what leaves the picture's box is hidden",
    "image wrong kind said": "a picture is read by what it is",
}
"""Where resvg departs from the standard, and what the standard says."""
