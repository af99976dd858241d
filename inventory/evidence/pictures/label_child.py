"""Runs alone, in a child process: reads the codes on one photo of a label.

Standard input is the photo. Standard output is one line of JSON. The child gives
itself limits before it decodes: memory, processor time, and no new file or socket at
all. It knows nothing of Django.
"""

import io
import json
import resource
import sys
import warnings

import zxingcpp
from PIL import (
    Image,
    ImageOps,
    JpegImagePlugin,
    PngImagePlugin,
    WebPImagePlugin,
)

LARGE = 2600
MAX_PIXELS = 260_000_000
MEMORY = 700_000_000
SECONDS = 15
MOST_CODES = 20
MOST_TEXT = 500

_PLUGINS = (JpegImagePlugin, PngImagePlugin, WebPImagePlugin)
_SIZES = (LARGE, 1300)


def main() -> None:
    """Read, limit, decode, answer."""
    data = sys.stdin.buffer.read()
    _learn_heic()
    Image.init()
    Image.MAX_IMAGE_PIXELS = MAX_PIXELS
    warnings.simplefilter("ignore")
    _limit()
    try:
        answer: dict[str, object] = {"codes": _read(data)}
    except Exception as error:  # noqa: BLE001 - a hostile file may raise anything
        answer = {"codes": [], "error": type(error).__name__}
    sys.stdout.buffer.write(json.dumps(answer).encode() + b"\n")
    sys.stdout.buffer.flush()


def _learn_heic() -> None:
    """Learn to read HEIC; without the library such photos cannot be read here."""
    try:
        import pi_heif  # noqa: PLC0415 - it may be missing

        pi_heif.register_heif_opener()
    except ImportError:
        return


def _limit() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_NOFILE, (0, 0))


def _read(data: bytes) -> list[str]:
    """Return each code once, with its symbology prefix, as a scanner sends it."""
    image: Image.Image = Image.open(
        io.BytesIO(data), formats=("JPEG", "PNG", "WEBP", "HEIF")
    )
    if image.width * image.height > MAX_PIXELS:
        raise ValueError
    grey = _grey(image)
    for size in _SIZES:
        # Smaller, a noisy photo is calmer; a sharp one has been read by then.
        grey.thumbnail((size, size), Image.Resampling.BICUBIC)
        if found := _codes_on(grey):
            return found
    return []


def _grey(image: Image.Image) -> Image.Image:
    """Return the picture upright and grey, decoded no larger than needed."""
    longest = max(image.size)
    if image.format in {"JPEG", "MPO"} and longest > LARGE:
        scale = LARGE / longest
        image.draft("L", (int(image.width * scale), int(image.height * scale)))
    image.load()
    upright = ImageOps.exif_transpose(image)
    if upright.mode in {"RGBA", "LA", "P"}:
        rgba = upright.convert("RGBA")
        upright = Image.new("RGB", rgba.size, "white")
        upright.paste(rgba, mask=rgba.getchannel("A"))
    return upright.convert("L")


def _codes_on(grey: Image.Image) -> list[str]:
    found: list[str] = []
    for code in zxingcpp.read_barcodes(grey, text_mode=zxingcpp.TextMode.Plain):
        text = code.symbology_identifier + code.text
        if code.valid and len(text) <= MOST_TEXT and text not in found:
            found.append(text)
    return found[:MOST_CODES]


if __name__ == "__main__":
    main()
