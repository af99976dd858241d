"""Runs alone, in a child process: reads one picture, writes what it found.

Standard input is the original. Standard output is one line of JSON, then the bytes
of the two renditions. The child gives itself limits before it decodes: memory,
processor time, and no new file or socket at all. It knows nothing of Django.

With ``former`` it makes the renditions of the version before. With ``serve`` it is the
decoder of the machine: standard input is a listening socket, and a fork of its own, with
the same limits, answers each connection. Who asks sends the open original, since its bytes
would be copied four times on their way through the socket. It ends with the program that
started it.
"""

import gc
import io
import itertools
import json
import operator
import os
import resource
import select
import signal
import socket
import sys
import time
import warnings
from contextlib import suppress

import PIL
from PIL import (
    Image,
    ImageFilter,
    ImageOps,
    JpegImagePlugin,
    MpoImagePlugin,
    PngImagePlugin,
    WebPImagePlugin,
    features,
)

VERSION, FORMER = 2, 1
"""Raised when the same picture and libraries would give other renditions."""

LARGE, SMALL, MEASURED, PARTS = 1600, 320, 640, 4
AS_DECODED, FINE = 2100, 1800
"""A picture that is decoded at a half or a quarter may keep up to so many pixels.

A phone's 4032 px become 2016: resampling them to 1600 takes as long as decoding, and
loses the thinnest scratches. Above FINE it is saved at quality 70, which shows more
than 1600 px at 82 and makes a file that is a sixth larger.
"""
MAX_PIXELS = 260_000_000
MEMORY = 700_000_000
SECONDS = 20

AT_ONCE = 2
HANGS_AFTER = 25
"""Seconds after which a fork that does not end is killed."""

_FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")
"""A phone's two pictures in one (MPO) open as JPEG."""

_PLUGINS = (JpegImagePlugin, MpoImagePlugin, PngImagePlugin, WebPImagePlugin)


def main() -> None:
    """Read, limit, decode, answer; or serve."""
    decoder = get_ready()
    if sys.argv[1:2] == ["serve"]:
        serve(socket.socket(fileno=0), decoder, parent=int(sys.argv[2]))
        return
    version = FORMER if sys.argv[1:2] == ["former"] else VERSION
    data = sys.stdin.buffer.read()
    _limit()
    sys.stdout.buffer.write(answer(data, decoder, version))
    sys.stdout.buffer.flush()


def get_ready() -> str:
    """Load what decoding needs, and no other format; return what will decode."""
    heic = _learn_heic()
    # Else the first picture of another format would load some forty more plugins.
    Image._initialized = 2  # noqa: SLF001 - Pillow has no other switch
    Image.MAX_IMAGE_PIXELS = MAX_PIXELS
    warnings.simplefilter("ignore")
    return _decoder(heic)


def answer(data: bytes, decoder: str, version: int = VERSION) -> bytes:
    """Return a line of JSON that says what the picture is, and its renditions."""
    try:
        facts, pictures = _read(data, version)
    except Exception as error:  # noqa: BLE001 - a hostile file may raise anything
        facts, pictures = {"error": type(error).__name__}, []
    facts["decoder"] = decoder
    facts["lengths"] = [len(picture) for picture in pictures]
    return json.dumps(facts).encode() + b"\n" + b"".join(pictures)


def serve(listening: socket.socket, decoder: str, *, parent: int) -> None:
    """Answer each connection by a fork of its own, two at a time, until alone."""
    forks: dict[int, float] = {}
    os.nice(2)  # whoever waits for a page comes first
    gc.freeze()  # what is loaded now is shared by all forks
    while os.getppid() == parent:
        _reap(forks)
        wait = 0.01 if forks else 1.0
        if len(forks) >= AT_ONCE:
            time.sleep(wait)
        elif select.select([listening], [], [], wait)[0]:
            connection, _ = listening.accept()
            pid = os.fork()
            if pid == 0:
                listening.close()
                _answer_one(connection, decoder)
            connection.close()
            forks[pid] = time.monotonic()


def _reap(forks: dict[int, float]) -> None:
    for pid, began in list(forks.items()):
        if time.monotonic() - began > HANGS_AFTER:
            os.kill(pid, signal.SIGKILL)
        if os.waitpid(pid, os.WNOHANG)[0]:
            del forks[pid]


def _answer_one(connection: socket.socket, decoder: str) -> None:
    """Read the picture that comes open over the connection, answer, end the process."""
    with suppress(BaseException):
        _, (source,), _, _ = socket.recv_fds(connection, 1, 1)
        _limit()  # no descriptor could come after it
        connection.sendall(answer(_bytes_of(source), decoder))
    os._exit(0)


def _bytes_of(source: int) -> bytes:
    """Return all bytes of an open file, and close it."""
    os.lseek(source, 0, os.SEEK_SET)
    with open(source, "rb", buffering=0) as file:
        return file.readall()


def _learn_heic() -> str:
    """Learn to read HEIC and return the library's version; nothing where it is missing.

    Without the library such photos are stored without a preview.
    """
    try:
        import pi_heif  # noqa: PLC0415 - it may be missing

        pi_heif.register_heif_opener()
    except ImportError:
        return ""
    return str(pi_heif.__version__)


def _decoder(heic: str) -> str:
    """Return what made the renditions: this program and the libraries that matter."""
    named = [
        str(VERSION),
        f"Pillow {PIL.__version__}",
        f"jpeg {features.version_codec('jpg')}",
        f"webp {features.version_module('webp')}",
    ]
    return ", ".join([*named, f"heif {heic}"] if heic else named)


def _limit() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    # At the first the process ends by a signal of its own, told from a kill.
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS + 1))
    resource.setrlimit(resource.RLIMIT_NOFILE, (0, 0))


def _read(data: bytes, version: int) -> tuple[dict[str, object], list[bytes]]:
    known = [name for name in _FORMATS if name in Image.OPEN]
    image: Image.Image = Image.open(io.BytesIO(data), formats=known)
    facts: dict[str, object] = {"width": image.width, "height": image.height}
    facts["claims"] = _claims(image)
    if image.width * image.height > MAX_PIXELS:
        return {**facts, "error": "TooManyPixels"}, []
    facts["moves"] = _moves(image)
    turned = _turned(image, version)
    is_finer = max(turned.size) > LARGE
    half = turned.reduce(2) if is_finer else turned
    facts["sharpness"] = _sharpness(half)
    small = half if is_finer else half.copy()
    gap = 1.5 if is_finer else 2.0
    small.thumbnail((SMALL, SMALL), Image.Resampling.BICUBIC, reducing_gap=gap)
    facts["brightness"] = int(_mean_and_variance(small.convert("L"))[0])
    quality = 82 if max(turned.size) <= FINE else 70
    large = _jpeg(turned, quality, optimize=not is_finer)
    return facts, [large, _jpeg(small, 78, optimize=True)]


def _turned(image: Image.Image, version: int) -> Image.Image:
    """Return the picture upright, decoded no larger than needed: see AS_DECODED.

    It is turned and shrunk in its place: a copy of each step would double the memory.
    """
    longest = max(image.size)
    if image.format in {"JPEG", "MPO"} and longest > LARGE:
        scale = LARGE / longest
        image.draft("RGB", (int(image.width * scale), int(image.height * scale)))
    image.load()
    ImageOps.exif_transpose(image, in_place=True)
    upright = image
    if upright.mode.startswith("I"):  # 16-bit grey would be clipped to white
        upright = upright.convert("I").point(lambda value: value / 256).convert("L")
    is_reduced = max(image.size) < longest and version != FORMER
    most = AS_DECODED if is_reduced else LARGE
    if max(upright.size) > most:
        upright.thumbnail((LARGE, LARGE), Image.Resampling.BICUBIC)
    if upright.mode in {"RGBA", "LA", "P"}:
        rgba = upright.convert("RGBA")
        upright = Image.new("RGB", rgba.size, "white")
        upright.paste(rgba, mask=rgba.getchannel("A"))
    return upright if upright.mode == "RGB" else upright.convert("RGB")


def _moves(image: Image.Image) -> bool:
    """Return whether it is an animation; a phone's second picture (MPO) is none."""
    return image.format in {"PNG", "WEBP"} and getattr(image, "is_animated", False)


_EDGES = ImageFilter.Kernel((3, 3), (0, 1, 0, 1, -4, 1, 0, 1, 0), scale=1, offset=128)


def _sharpness(image: Image.Image) -> int | None:
    """Return the variance of the Laplacian at 640 px, in the sharpest of 16 parts.

    A plain wall around a sharp label is no blur. None for a tiny picture.
    """
    grey = image.convert("L")
    grey.thumbnail((MEASURED, MEASURED), Image.Resampling.BICUBIC)
    if min(grey.size) < 3 * PARTS:
        return None
    # The outermost pixels are copied unfiltered.
    inner = (1, 1, grey.width - 1, grey.height - 1)
    edges = grey.filter(_EDGES).crop(inner)
    across = [edges.width * part // PARTS for part in range(PARTS + 1)]
    down = [edges.height * part // PARTS for part in range(PARTS + 1)]
    parts = [
        edges.crop((left, top, right, bottom))
        for left, right in itertools.pairwise(across)
        for top, bottom in itertools.pairwise(down)
    ]
    return int(max(_mean_and_variance(part)[1] for part in parts))


_SQUARES = [value * value for value in range(256)]


def _mean_and_variance(grey: Image.Image) -> tuple[float, float]:
    """Return what Pillow's own statistics do, in a third of their time."""
    counts = grey.histogram()
    pixels = sum(counts)
    total = sum(map(operator.mul, counts, range(256)))
    squares = sum(map(operator.mul, counts, _SQUARES))
    return total / pixels, (squares - total**2 / pixels) / pixels


def _jpeg(image: Image.Image, quality: int, *, optimize: bool) -> bytes:
    """Return the picture as JPEG, without anything the original says of itself.

    Finding the best codes for a large one saves little and takes twice as long.
    """
    image.info.clear()
    out = io.BytesIO()
    image.save(out, "JPEG", quality=quality, optimize=optimize)
    return out.getvalue()


def _claims(image: Image.Image) -> dict[str, str]:
    """Return the camera data as text: a claim, not a fact."""
    try:
        exif = image.getexif()
        inner = exif.get_ifd(0x8769)
        place = exif.get_ifd(0x8825)
    except Exception:  # noqa: BLE001 - broken EXIF is no reason to lose a photo
        return {}
    found = {
        "taken": inner.get(0x9003),
        "offset": inner.get(0x9011),
        "make": exif.get(0x010F),
        "model": exif.get(0x0110),
        "latitude": _degrees(place.get(2), place.get(1)),
        "longitude": _degrees(place.get(4), place.get(3)),
    }
    return {name: str(value)[:60] for name, value in found.items() if value}


def _degrees(parts: object, side: object) -> str:
    if not isinstance(parts, tuple) or len(parts) != 3:
        return ""
    try:
        value = sum(float(part) / 60**power for power, part in enumerate(parts))
    except (TypeError, ValueError, ZeroDivisionError):
        return ""
    return f"{-value if side in {'S', 'W'} else value:.5f}"


if __name__ == "__main__":
    main()
