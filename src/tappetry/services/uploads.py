"""Files from outside: what each is by its content, how large it is, and what it unpacks to."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from collections.abc import Collection, Iterator
from enum import Enum
from pathlib import PurePosixPath

from tappetry.records.problems import BadInput, Where

#: The most points that a picture may unpack to.
MOST_POINTS = 100_000_000
#: An archive may hold so many files, unpack to so much [byte], and to so many times its own size.
MOST_FILES, MOST_UNPACKED, MOST_RATIO = 500, 60_000_000, 120
#: What a workbook holds in any case, and what makes it run a program of its own or ask elsewhere.
WORKBOOK = ("[Content_Types].xml", "xl/workbook.xml")
FOREIGN = ("vbaproject", "activex", "externallinks", "embeddings")
#: XML that states entities of its own can unpack to any size.
DECLARES = (b"<!DOCTYPE", b"<!ENTITY")


class Kind(Enum):
    """What a file is; the value is its media type."""

    JPEG = "image/jpeg"
    PNG = "image/png"
    WEBP = "image/webp"
    XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    TEXT = "text/plain"


PICTURES = (Kind.JPEG, Kind.PNG, Kind.WEBP)
NAMES = {
    Kind.JPEG: "a JPEG picture",
    Kind.PNG: "a PNG picture",
    Kind.WEBP: "a WebP picture",
    Kind.XLSX: "a workbook (XLSX) without programs in it",
    Kind.TEXT: "a text in UTF-8 (CSV, YAML)",
}


def checked(content: bytes, wanted: Collection[Kind], most: int, what: str = "file") -> Kind:
    """What a file is, if it is one of the kinds that are wanted and may be unpacked.

    Parameters
    ----------
    content : bytes
        The file.
    wanted : collection of Kind
        What is taken.
    most : int
        The largest file that is taken. [byte]
    what : str
        What the file is called in complaints.

    Raises
    ------
    BadInput
        It is too large, something else, not whole, or unpacks to too much.
    """
    if len(content) > most:
        raise _bad(what, f"the {what} is too large", f"{len(content)} bytes", f"up to {most} bytes")
    kind = _kind(content)
    if kind is None or kind not in wanted:
        expected = " or ".join(NAMES[each] for each in wanted)
        raise _bad(what, f"the {what} is none that is taken here", f"{len(content)} bytes", expected)
    if kind in PICTURES:
        _must_be_a_picture(content, kind, what)
    elif kind is Kind.XLSX:
        _must_be_a_workbook(content, what)
    return kind


def _kind(content: bytes) -> Kind | None:
    if content.startswith(b"\xff\xd8\xff"):
        return Kind.JPEG
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return Kind.PNG
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return Kind.WEBP
    if content.startswith(b"PK\x03\x04"):
        return Kind.XLSX
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return None
    return Kind.TEXT if text.strip() and "\0" not in text else None


def _must_be_a_picture(content: bytes, kind: Kind, what: str) -> None:
    sizes = {Kind.PNG: _png, Kind.JPEG: _jpeg, Kind.WEBP: _webp}
    try:
        width, height = sizes[kind](content)
    except (struct.error, IndexError, ValueError):
        raise _bad(what, f"the {what} is damaged: it does not say its size", "", NAMES[kind]) from None
    if not 0 < width * height <= MOST_POINTS:
        read = f"{width} x {height} points"
        raise _bad(what, f"the {what} has too many points, or none", read, f"up to {MOST_POINTS} points")


def _png(content: bytes) -> tuple[int, int]:
    if content[12:16] != b"IHDR":
        raise ValueError
    width, height = struct.unpack_from(">II", content, 16)
    return width, height


def _jpeg(content: bytes) -> tuple[int, int]:
    at = 2
    while True:
        while content[at] == 0xFF:
            at += 1
        marker, length = content[at], struct.unpack_from(">H", content, at + 1)[0]
        if 0xC0 <= marker <= 0xCF and marker not in (0xC4, 0xC8, 0xCC):
            height, width = struct.unpack_from(">HH", content, at + 4)
            return width, height
        if marker == 0xDA or length < 2:
            raise ValueError
        at += 1 + length
        if content[at] != 0xFF:
            raise ValueError


def _webp(content: bytes) -> tuple[int, int]:
    form = content[12:16]
    if form == b"VP8X":
        wide, high = content[24:27], content[27:30]
        if len(high) < 3:
            raise ValueError
        return int.from_bytes(wide, "little") + 1, int.from_bytes(high, "little") + 1
    if form == b"VP8L":
        bits = struct.unpack_from("<I", content, 21)[0]
        return (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1
    if form == b"VP8 " and content[23:26] == b"\x9d\x01\x2a":
        width, height = struct.unpack_from("<HH", content, 26)
        return width & 0x3FFF, height & 0x3FFF
    raise ValueError


def _must_be_a_workbook(content: bytes, what: str) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            complaint = next(_complaints(archive, len(content)), "")
    except (zipfile.BadZipFile, ValueError, NotImplementedError, RuntimeError, EOFError, zlib.error):
        complaint = "it is not whole, or locked"
    if complaint:
        raise _bad(what, f"the {what} is not taken: {complaint}", "", NAMES[Kind.XLSX])


def _complaints(archive: zipfile.ZipFile, packed: int) -> Iterator[str]:
    """What is wrong with an archive; sizes are counted while it is unpacked, whatever it says of them."""
    files = archive.infolist()
    names = [each.filename for each in files]
    if len(files) > MOST_FILES:
        yield f"it holds {len(files)} files, more than {MOST_FILES}"
    if any(name not in names for name in WORKBOOK) or len(set(names)) < len(names):
        yield "it is no workbook"
    for name in names:
        if name.startswith("/") or "\\" in name or ".." in PurePosixPath(name).parts:
            yield "it holds a file that would lie elsewhere"
        if any(word in name.lower() for word in FOREIGN):
            yield "it holds programs, other files, or links to elsewhere"
    left = min(MOST_UNPACKED, packed * MOST_RATIO)
    for each in files:
        with archive.open(each) as unpacked:
            start = unpacked.read(left + 1)
        left -= len(start)
        if left < 0:
            yield f"it unpacks to more than {min(MOST_UNPACKED, packed * MOST_RATIO)} bytes"
        if any(word in start for word in DECLARES):
            yield "it states XML entities of its own"


def _bad(what: str, message: str, value: str, expected: str) -> BadInput:
    return BadInput.at(Where(field=what), message, value, expected)
