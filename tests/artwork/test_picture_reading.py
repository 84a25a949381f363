"""Reading pictures: upright, on white, in sRGB; odd, damaged and gigantic files."""

import io
import struct
import time
import zlib

import numpy as np
import pytest
from PIL import Image, ImageCms

from wallwright.artwork.artwork_reader import read_artwork
from wallwright.artwork.media import media_of
from wallwright.artwork.raster import raster_reader
from wallwright.artwork.raster.pen_layers import layers
from wallwright.artwork.raster.raster import Raster
from wallwright.artwork.raster.tone import lightness, linear, luminance_of, srgb
from wallwright.artwork.raster.tracing import trace
from wallwright.artwork.shape_regions import region_of
from wallwright.document.document import Pen
from wallwright.document.errors import BadFile, Cancelled
from wallwright.document.picture import PictureSettings

RED, GREEN, BLUE, WHITE = (220, 30, 30), (30, 180, 60), (30, 60, 200), (255, 255, 255)


def file_of(image: Image.Image, form: str = "PNG", **options) -> bytes:
    buffer = io.BytesIO()
    image.save(buffer, form, **options)
    return buffer.getvalue()


def read(data: bytes, name: str = "picture"):
    return read_artwork(data, media_of(data, name), name, 0.05)


def quarters(size: int = 64) -> Image.Image:
    """As stored: top left red, top right green, bottom left blue, bottom right white; twice as wide as high."""
    pixels = np.empty((size, 2 * size, 3), np.uint8)
    half = size // 2
    pixels[:half, :size], pixels[:half, size:] = RED, GREEN
    pixels[half:, :size], pixels[half:, size:] = BLUE, WHITE
    return Image.fromarray(pixels)


FIRST_ROW_AND_COLUMN = {
    1: "top left",
    2: "top right",
    3: "bottom right",
    4: "bottom left",
    5: "left top",
    6: "right top",
    7: "right bottom",
    8: "left bottom",
}
"""Exif 2.3, tag 0x0112: the side of the upright picture at which the first row, and the first column, lie."""


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("tag", FIRST_ROW_AND_COLUMN)
def test_orientation(tag, form):
    exif = Image.Exif()
    exif[0x0112] = tag
    options = {"quality": 95} if form != "PNG" else {}
    raster = read(file_of(quarters(), form, exif=exif, **options)).raster
    sides = FIRST_ROW_AND_COLUMN[tag].split()
    assert raster.size == ((128, 64) if sides[0] in ("top", "bottom") else (64, 128))

    def at(where: str) -> np.ndarray:
        rows, columns, _ = raster.pixels.shape
        row = 4 if "top" in where else rows - 5
        column = 4 if "left" in where else columns - 5
        return raster.pixels[row, column].astype(int)

    other = {"top": "bottom", "bottom": "top", "left": "right", "right": "left"}
    assert at(" ".join(sides)) == pytest.approx(RED, abs=12)
    assert at(f"{sides[0]} {other[sides[1]]}") == pytest.approx(GREEN, abs=12)
    assert at(f"{other[sides[0]]} {sides[1]}") == pytest.approx(BLUE, abs=12)


def test_natural_size_is_that_of_css_pixels():
    """CSS Values 3, 6.2: 96 px are an inch."""
    drawing = read(file_of(Image.new("RGB", (96, 192))))
    assert (drawing.width, drawing.height) == pytest.approx((25.4, 50.8))
    assert drawing.shapes == ()


@pytest.mark.parametrize(
    ("image", "seen"),
    [
        (Image.new("RGBA", (8, 8), (0, 0, 0, 0)), WHITE),
        (Image.new("RGBA", (8, 8), (0, 0, 0, 127)), (128, 128, 128)),
        (Image.new("LA", (8, 8), (100, 255)), (100, 100, 100)),
        (Image.new("L", (8, 8), 77), (77, 77, 77)),
        (Image.new("1", (8, 8), 1), WHITE),
        (Image.fromarray(np.full((8, 8), 0x8080, np.uint16)), (128, 128, 128)),
        (quarters(8).quantize(4), RED),
    ],
    ids=["clear", "half clear", "grey with alpha", "grey", "one bit", "sixteen bits", "palette"],
)
def test_kinds_of_pixels(image, seen):
    assert read(file_of(image)).raster.pixels[0, 0].astype(int) == pytest.approx(seen, abs=1)


def test_palette_with_a_clear_colour():
    image = quarters(8).quantize(4)
    clear = image.getpixel((0, 0))
    assert tuple(read(file_of(image, transparency=clear)).raster.pixels[0, 0]) == WHITE


def test_cmyk_jpeg():
    """Plain ink arithmetic without a profile: full cyan is no red, and all of green and blue."""
    pixel = read(file_of(Image.new("CMYK", (16, 16), (255, 0, 0, 0)), "JPEG", quality=95)).raster.pixels[8, 8]
    assert pixel[0] < 10 and pixel[1] > 245 and pixel[2] > 245


def test_colour_profile_is_applied_or_reported():
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    assert read(file_of(Image.new("RGB", (8, 8), RED), icc_profile=profile)).raster.pixels[0, 0] == pytest.approx(
        RED, abs=1
    )
    lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()  # does not fit RGB pixels
    drawing = read(file_of(Image.new("RGB", (8, 8), RED), icc_profile=lab))
    assert tuple(drawing.raster.pixels[0, 0]) == RED
    assert "profile" in drawing.findings[0].text


@pytest.mark.parametrize("form", ["PNG", "JPEG", "WEBP"])
@pytest.mark.parametrize("share", [0.02, 0.3, 0.9])
def test_truncated_files_are_a_sentence(form, share):
    noise = np.random.default_rng(1).integers(0, 255, (64, 64, 3), np.uint8)
    data = file_of(Image.fromarray(noise), form)
    with pytest.raises(BadFile, match="picture") as trouble:
        read_artwork(data[: int(share * len(data))], media_of(data, ""), "picture", 0.05)
    assert str(trouble.value).endswith(".")


def png_of(width: int, height: int, bits: int = 1) -> bytes:
    """A valid PNG of a few bytes for any size (PNG, third edition, 11.2): all black."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    packer = zlib.compressobj(1)
    row = bytes(1 + (width * bits + 7) // 8)
    body = b"".join(packer.compress(row) for _ in range(height)) + packer.flush()
    head = struct.pack(">IIBBBBB", width, height, bits, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def test_gigantic_pictures_are_refused_or_reduced_in_time():
    began = time.monotonic()
    with pytest.raises(BadFile, match="pixels"):
        read(png_of(40_000, 40_000))
    with pytest.raises(BadFile, match="12000 by 9000 pixels"):
        read(png_of(12_000, 9_000))
    large = read(png_of(9_000, 9_000))
    assert large.raster.size == (9_000, 9_000)
    assert max(large.raster.pixels.shape) <= 2400
    assert "reduced" in large.findings[0].text
    assert time.monotonic() - began < 5


def test_reading_can_be_cancelled():
    def stop(done: float) -> None:
        raise Cancelled

    with pytest.raises(Cancelled):
        read_artwork(file_of(quarters()), "image/png", "picture", 0.05, stop)


def test_lightness_of_published_values():
    """CIE 15: L* 50 is Y 0.184187, the linear part ends at Y 0.008856 and L* 8; sRGB (IEC 61966-2-1:1999): 188 is 0.503."""
    assert lightness(np.array([0.184187, 0.008856, 1.0])) == pytest.approx([0.5, 0.08, 1.0], abs=1e-5)
    assert linear(np.array([188, 0, 255])) == pytest.approx([0.5029, 0, 1], abs=1e-4)
    values = np.arange(256)
    assert srgb(linear(values)) == pytest.approx(values, abs=1e-3)
    share = np.linspace(0, 1, 50)
    assert luminance_of(lightness(share)) == pytest.approx(share, abs=1e-6)


def test_each_colour_goes_to_the_pen_that_looks_nearest():
    raster = Raster(np.array(quarters()), (128, 64))
    pens = [
        Pen("k", "Black", "#101010", 1),
        Pen("r", "Red", "#c02020", 1),
        Pen("g", "Green", "#209040", 1),
        Pen("b", "Blue", "#2050b0", 1),
    ]
    tones = dict(layers(raster, PictureSettings(pens=("k", "r", "g", "b")), pens, 400.0, 200.0))
    rows, columns = tones[0].tone.shape
    for pen, row, column in ((1, 0.25, 0.25), (2, 0.25, 0.75), (3, 0.75, 0.25)):
        inked = [n for n in range(4) if tones[n].tone[int(row * rows), int(column * columns)] > 0]
        assert inked == [pen]
    assert all(t.tone[int(0.75 * rows), int(0.75 * columns)] == 0 for t in tones.values())


def test_without_a_choice_the_darkest_pen_draws():
    pens = [Pen("y", "Yellow", "#f0d020", 1), Pen("k", "Black", "#101010", 1)]
    ((number, tones),) = layers(Raster(np.zeros((9, 9, 3), np.uint8), (9, 9)), PictureSettings(), pens, 90.0, 90.0)
    assert number == 1
    assert tones.tone == pytest.approx(PictureSettings().darkest)


def poster(scale: int = 4) -> Image.Image:
    """A blue disc of radius 60 with a white hole of 25, and a red square of 70, on white; edges soft as photographed."""
    y, x = (np.mgrid[: 200 * scale, : 300 * scale] + 0.5) / scale
    pixels = np.full((*x.shape, 3), 255, np.uint8)
    r = np.hypot(x - 90, y - 100)
    pixels[(r < 60) & (r > 25)] = BLUE
    pixels[(np.abs(x - 220) < 35) & (np.abs(y - 90) < 35)] = RED
    return Image.fromarray(pixels).resize((300, 200), Image.Resampling.BOX)


def test_flat_art_is_traced_into_clean_regions():
    """Areas of disc, ring and square to 1 %, and every point of the round edges within a third of a pixel."""
    raster = Raster(np.array(poster()), (300, 200))
    mm = 25.4 / 96
    drawing = trace(raster, 5, 0.0, 0.02)
    by_colour = {s.paint.colour: s for s in drawing.shapes}
    assert set(by_colour) == {"#ffffff", "#1e3cc8", "#dc1e1e"}
    disc = by_colour["#1e3cc8"]
    assert region_of(disc.paths, True).area / mm**2 == pytest.approx(np.pi * (60**2 - 25**2), rel=0.01)
    assert region_of(by_colour["#dc1e1e"].paths, True).area / mm**2 == pytest.approx(70**2, rel=0.01)
    points = np.concatenate(disc.paths) / mm
    radius = np.hypot(*(points - [90, 100]).T)
    assert np.minimum(abs(radius - 60), abs(radius - 25)).max() < 0.34
    total = sum(region_of(s.paths, True).area for s in drawing.shapes)
    assert total == pytest.approx(drawing.width * drawing.height, rel=0.002)


def test_specks_go_and_colours_are_few():
    image = poster()
    for place in ((20, 20), (150, 180), (220, 90)):
        image.paste((20, 20, 20), (*place, place[0] + 4, place[1] + 4))
    raster = Raster(np.array(image), image.size)
    mm = 25.4 / 96
    few, all_ = trace(raster, 6, 6 * mm, 0.02), trace(raster, 6, 0.0, 0.02)
    assert "#141414" not in {s.paint.colour for s in few.shapes}
    assert "#141414" in {s.paint.colour for s in all_.shapes}
    assert len(trace(raster, 2, 0.0, 0.02).shapes) == 2


def test_an_empty_file_is_called_empty():
    with pytest.raises(BadFile, match=r"zero\.png is empty"):
        read(b"", "zero.png")


@pytest.mark.parametrize("size", [(301, 200), (4000, 3), (3, 4000), (997, 991)])
@pytest.mark.parametrize("factor", [1, 2, 7])
def test_tiles_of_any_picture_are_small_and_do_not_show(monkeypatch, size, factor):
    """A picture a million pixels wide and twelve high was one tile, several times in memory. Pillow reduces the whole one."""
    picture = Image.effect_noise(size, 90).convert("RGB")
    tiles: list[int] = []

    def prepare(tile: Image.Image) -> Image.Image:
        tiles.append(tile.width * tile.height)
        return tile

    monkeypatch.setattr(raster_reader, "STRIP", 900)
    small = raster_reader.reduced(picture, factor, prepare, lambda done: None)
    assert np.array_equal(np.asarray(small), np.asarray(picture.reduce(factor)))
    assert max(tiles) <= 900 and len(tiles) > 5
