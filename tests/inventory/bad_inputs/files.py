"""How the bad files are made: seldom large, always cheap."""

import io
import struct
import zlib
from functools import cache

from PIL import Image

from tests.pictures import jpeg


def saved(image, form, **how):
    out = io.BytesIO()
    image.save(out, form, **how)
    return out.getvalue()


def chunk(name, data):
    return (
        struct.pack(">I", len(data))
        + name
        + data
        + struct.pack(">I", zlib.crc32(name + data))
    )


def png_of(width, height, *chunks, bits=8):
    """Return a grey PNG's header with these chunks after it, well formed."""
    header = struct.pack(">IIBBBBB", width, height, bits, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + b"".join(chunks)


@cache
def zeros(count):
    """Return so many zero bytes, deflated: a bomb of a thousand to one."""
    packer = zlib.compressobj(9)
    block, rest = divmod(count, 1_000_000)
    parts = [packer.compress(bytes(1_000_000)) for _ in range(block)]
    return b"".join([*parts, packer.compress(bytes(rest)), packer.flush()])


def flat_png(width, height, bits=8):
    """Return a whole, honest, black PNG of any size."""
    row = 1 + (width * bits + 7) // 8
    data = chunk(b"IDAT", zeros(row * height))
    return png_of(width, height, data, chunk(b"IEND", b""), bits=bits)


def small_png(*chunks):
    """Return a PNG of 40 x 30 with these chunks before its pixels."""
    return png_of(40, 30, *chunks, chunk(b"IDAT", zeros(41 * 30)), chunk(b"IEND", b""))


def text_bomb(name, words=b"Comment"):
    """Return a chunk of 190 KB that opens to 200 MB."""
    heads = {
        b"iTXt": words + b"\0\1\0\0\0",
        b"zTXt": words + b"\0\0",
        b"iCCP": words + b"\0\0",
    }
    return chunk(name, heads[name] + zeros(200_000_000))


def many_texts():
    return small_png(
        *(chunk(b"iTXt", b"Comment\0\1\0\0\0" + zeros(900_000)) for _ in range(100))
    )


def bad_crc():
    data = bytearray(small_png())
    data[29] ^= 0xFF
    return bytes(data)


def flipped():
    """Return a JPEG with 200 bytes of its pixels changed."""
    data = bytearray(jpeg((2000, 1500), colour=(40, 90, 140)))
    step = (len(data) - 1200) // 200
    for place in range(1000, 1000 + 200 * step, step):
        data[place] ^= 0x55
    return bytes(data)


def huge_jpeg():
    return saved(Image.new("L", (16_320, 12_240), 120), "JPEG", quality=30)


def with_exif(**tags):
    """Return a JPEG whose EXIF says this: taken, offset, turn, place."""
    exif = Image.Exif()
    if "turn" in tags:
        exif[0x0112] = tags["turn"]
    inner = exif.get_ifd(0x8769)
    if "taken" in tags:
        inner[0x9003] = tags["taken"]
    if "offset" in tags:
        inner[0x9011] = tags["offset"]
    if "place" in tags:
        north, east = tags["place"]
        place = exif.get_ifd(0x8825)
        place[1], place[2] = "N", (north, 0.0, 0.0)
        place[3], place[4] = "E", (east, 0.0, 0.0)
    return jpeg(exif=exif, colour=(200, 180, 160))


def with_segment(marker, data):
    """Return a JPEG with one more segment right after its beginning."""
    whole = jpeg()
    segment = bytes([0xFF, marker]) + struct.pack(">H", len(data) + 2) + data
    return whole[:2] + segment + whole[2:]


def broken_exif():
    """Return a JPEG whose EXIF points beyond its own end, again and again."""
    entries = b"".join(
        struct.pack("<HHII", tag, 2, 0xFFFF, 0xFFFFFFF0)
        for tag in (0x010F, 0x0110, 0x8769, 0x8825)
    )
    tiff = b"II*\0\x08\0\0\0" + struct.pack("<H", 4) + entries + b"\xf0\xff\xff\xff"
    return with_segment(0xE1, b"Exif\0\0" + tiff)


def broken_exif_webp():
    image = Image.new("RGB", (300, 240), (90, 60, 30))
    return saved(image, "WEBP", exif=b"Exif\0\0II*\0\xff\xff\xff\xff" + b"\xee" * 40)


def gif():
    frames = [Image.new("P", (30, 20), n) for n in range(30)]
    return saved(frames[0], "GIF", save_all=True, append_images=frames[1:])


def tiff(pages=1):
    """Return a TIFF: the pages are headers only, each naming the next."""
    parts = [b"II*\0\x08\0\0\0"]
    for page in range(pages):
        place = 8 + 18 * (page + 1)
        entry = struct.pack("<HHHII", 1, 0x0100, 4, 1, 100)
        parts.append(entry + struct.pack("<I", place if page + 1 < pages else 0))
    return b"".join(parts)


def box(name, data):
    return struct.pack(">I", 8 + len(data)) + name + data


AVIF = box(b"ftyp", b"avif\0\0\0\0avifmif1miaf") + box(b"mdat", bytes(80))
AVIF_AS_MIF1 = box(b"ftyp", b"mif1\0\0\0\0mif1avifmiaf") + box(b"mdat", bytes(80))
MOV = box(b"ftyp", b"qt  \0\0\0\0qt  ") + box(b"mdat", bytes(900))
MP4 = box(b"ftyp", b"isom\0\0\0\0isommp42") + box(b"mdat", bytes(900))
ZIP = b"PK\x03\x04" + bytes(60) + b"PK\x05\x06" + bytes(18)
EXE = b"MZ\x90\0" + bytes(60) + b"PE\0\0" + bytes(100)
EPS = b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\nshowpage\n"
SVG = b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>"
HTML = b"<!doctype html><html><body><script>alert(1)</script></body></html>"
JP2 = b"\0\0\0\x0cjP  \r\n\x87\n" + box(b"ftyp", b"jp2 \0\0\0\0jp2 ")
