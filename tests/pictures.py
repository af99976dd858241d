"""Small pictures and broken files for the tests of evidence."""

import base64
import io
import random

from PIL import Image, ImageFilter

NO_PICTURE = b"\xff\xd8\xff\xda but no picture \xff\xd9"
"""Begins and ends as a JPEG does, and is none."""


def jpeg(size=(640, 480), colour=(180, 140, 90), **save):
    """Return a JPEG of one colour with a dark bar, so that no two are alike."""
    image = Image.new("RGB", size, colour)
    image.paste((20, 20, 20), (0, 0, size[0] // 3, size[1] // 4))
    out = io.BytesIO()
    image.save(out, "JPEG", **save)
    return out.getvalue()


def grainy(seed):
    """Return a photo that stays large however it is packed."""
    dice = random.Random(seed)
    grain = Image.frombytes("L", (1200, 900), dice.randbytes(1200 * 900))
    image = Image.merge("RGB", (grain, grain.transpose(0), grain.transpose(1)))
    out = io.BytesIO()
    image.save(out, "JPEG", quality=90)
    return out.getvalue()


def blurred_jpeg():
    """Return a JPEG that is out of focus everywhere."""
    image = Image.open(io.BytesIO(jpeg(size=(1600, 1200))))
    out = io.BytesIO()
    image.filter(ImageFilter.GaussianBlur(30)).save(out, "JPEG")
    return out.getvalue()


def turned_jpeg():
    """Return a JPEG that says it lies on its side, with time, phone and place."""
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x010F] = "Larkfone"
    exif[0x0110] = "Larkfone 4"
    inner = exif.get_ifd(0x8769)
    inner[0x9003] = "2026:03:10 10:31:00"
    inner[0x9011] = "-05:00"
    place = exif.get_ifd(0x8825)
    place[1], place[2] = "N", (41.0, 28.0, 12.0)
    place[3], place[4] = "W", (91.0, 34.0, 48.0)
    return jpeg(exif=exif)


def camera_jpeg(taken, seed):
    """Return a small JPEG, another for each seed, whose camera says when it was."""
    exif = Image.Exif()
    inner = exif.get_ifd(0x8769)
    inner[0x9003] = taken.strftime("%Y:%m:%d %H:%M:%S")
    offset = taken.strftime("%z")
    inner[0x9011] = f"{offset[:3]}:{offset[3:]}"
    colour = (seed % 251, seed // 251, 90)
    return jpeg(size=(64, 48), colour=colour, exif=exif)


def png(size=(300, 200)):
    """Return a small PNG with a see-through corner."""
    image = Image.new("RGBA", size, (10, 90, 60, 255))
    image.putpixel((0, 0), (0, 0, 0, 0))
    out = io.BytesIO()
    image.save(out, "PNG")
    return out.getvalue()


def mpo():
    """Return a phone's two pictures in one JPEG file."""
    first, second = (Image.new("RGB", (640, 480), shade) for shade in ("teal", "tan"))
    first.paste((20, 20, 20), (0, 0, 200, 100))
    out = io.BytesIO()
    first.save(out, "MPO", save_all=True, append_images=[second])
    return out.getvalue()


def webp(frames=1):
    """Return a WebP, with more frames an animation."""
    first, *rest = (
        Image.new("RGB", (300, 240), (n * 8, 90, 30)) for n in range(frames)
    )
    out = io.BytesIO()
    first.save(out, "WEBP", save_all=frames > 1, append_images=rest)
    return out.getvalue()


def heic():
    """Return a HEIC of 96 x 64 pixels: a flat ground with a dark bar."""
    return base64.b64decode(_HEIC)


_HEIC = """
AAAAHGZ0eXBoZWljAAAAAG1pZjFoZWljbWlhZgAAAVZtZXRhAAAAAAAAACFoZGxyAAAAAAAAAABw
aWN0AAAAAAAAAAAAAAAAAAAAACJpbG9jAAAAAERAAAEAAQAAAAABegABAAAAAAAAAG4AAAAjaWlu
ZgAAAAAAAQAAABVpbmZlAgAAAAABAABodmMxAAAAAA5waXRtAAAAAAABAAAA1mlwcnAAAAC3aXBj
bwAAAHhodmNDAQNwAAAAkAAAAAAAHvAA/P34+AAADwNgAAEAGEABDAH//wNwAAADAJAAAAMAAAMA
HroCQGEAAQArQgEBA3AAAAMAkAAAAwAAAwAeoDCBBZbqSSmubgIaDAgAAAMAyAAAAwAIQGIAAQAH
RAHBcrAiQAAAABNjb2xybmNseAABAA0ABoAAAAAUaXNwZQAAAAAAAABgAAAAQAAAABBwaXhpAAAA
AAMICAgAAAAXaXBtYQAAAAAAAAABAAEEgQIDBAAAAHZtZGF0AAAAaigBrwngxwrgOlL//2SGSgyI
cf4KSP/+e8dD5PtHAon6ltuHyyhcQcQ1RBowlmYSbbrUDVD/SptO/CZs6YCBB5dVTH6QbMXAyeok
Eq5O/C08HoGH90aaP97qnfjGL3Oz1g46zH85UFtqs2A=
"""
