"""Files from outside: what each is by its content, and which are not taken."""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Mapping
from contextlib import suppress

import pytest
from hypothesis import given, strategies
from PIL import Image

from tappetry.records.problems import BadInput
from tappetry.services.uploads import (
    MOST_FILES,
    MOST_POINTS,
    PICTURES,
    Kind,
    checked,
)

BOOK = {"[Content_Types].xml": b"<Types/>", "xl/workbook.xml": b"<workbook/>"}


def drawn(form: str, **options: object) -> bytes:
    """A picture of 30 by 20 points, made by another program."""
    file = io.BytesIO()
    Image.effect_noise((30, 20), 50).convert("RGB").save(file, form, **options)
    return file.getvalue()


def packed(files: Mapping[str, bytes]) -> bytes:
    """An archive of some files."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return file.getvalue()


def said(content: bytes, most: int = 1_000_000) -> str:
    """Why a file is not taken, whatever it may be."""
    with pytest.raises(BadInput) as caught:
        checked(content, tuple(Kind), most)
    return str(caught.value)


@pytest.mark.parametrize(
    ("content", "kind"),
    [
        (drawn("JPEG"), Kind.JPEG),
        (drawn("JPEG", progressive=True, exif=b"Exif\0\0" + bytes(90)), Kind.JPEG),
        (drawn("PNG"), Kind.PNG),
        (drawn("WEBP"), Kind.WEBP),
        (drawn("WEBP", lossless=True), Kind.WEBP),
        (drawn("WEBP", exif=b"Exif\0\0" + bytes(90)), Kind.WEBP),
        (packed(BOOK), Kind.XLSX),
        ("number;price\nä;1,00\n".encode(), Kind.TEXT),
        (b"\xef\xbb\xbfjob: J-1\n", Kind.TEXT),
    ],
    ids=range(9),
)
def test_a_file_is_what_it_holds(content: bytes, kind: Kind) -> None:
    assert checked(content, tuple(Kind), 1_000_000) is kind
    with pytest.raises(BadInput, match="is none that is taken here"):
        checked(content, tuple(set(Kind) - {kind}), 1_000_000)


def test_a_file_that_is_too_large_is_not_looked_at() -> None:
    assert said(b"x" * 11, most=10) == "file: the file is too large (read: 11 bytes); expected up to 10 bytes"


@pytest.mark.parametrize("content", [b"", b"MZ\x90\x00", b"\xff\xfe\x00a", b"a\0b", b"GIF89a\xff"])
def test_what_is_none_of_them_is_refused(content: bytes) -> None:
    assert "the file is none that is taken here" in said(content)


def test_a_picture_that_unpacks_to_too_much_is_refused() -> None:
    whole = drawn("PNG")
    large = whole[:16] + struct.pack(">II", 20_000, 20_000) + whole[24:]
    assert f"(read: 20000 x 20000 points); expected up to {MOST_POINTS} points" in said(large)
    assert "0 x 20 points" in said(whole[:16] + struct.pack(">II", 0, 20) + whole[24:])


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_picture_that_ends_before_its_size_is_damaged(form: str) -> None:
    assert "the file is damaged: it does not say its size" in said(drawn(form)[:18])


@pytest.mark.parametrize(
    ("files", "why"),
    [
        ({"a.txt": b"x"}, "it is no workbook"),
        (BOOK | {"xl/vbaProject.bin": b"x"}, "it holds programs, other files, or links to elsewhere"),
        (BOOK | {"xl/externalLinks/one.xml": b"x"}, "it holds programs, other files, or links to elsewhere"),
        (BOOK | {"../../one.xml": b"x"}, "it holds a file that would lie elsewhere"),
        (BOOK | {"/etc/one.xml": b"x"}, "it holds a file that would lie elsewhere"),
        (BOOK | {"xl/a.xml": b"<!DOCTYPE a [<!ENTITY b 'c'>]>"}, "it states XML entities of its own"),
        (BOOK | {f"xl/{n}.xml": b"" for n in range(MOST_FILES)}, f"it holds {MOST_FILES + 2} files"),
    ],
    ids=range(7),
)
def test_a_workbook_that_could_hurt_is_refused(files: dict[str, bytes], why: str) -> None:
    assert f"the file is not taken: {why}" in said(packed(files))


def test_an_archive_that_unpacks_to_too_much_is_refused_whatever_it_says_of_itself() -> None:
    bomb = packed(BOOK | {"xl/sheet.xml": bytes(4_000_000)})
    assert len(bomb) < 10_000
    assert "it unpacks to more than" in said(bomb)
    lies = bytearray(bomb)
    at = lies.rindex(b"PK\x01\x02")
    struct.pack_into("<I", lies, at + 24, 10)
    assert "the file is not taken" in said(bytes(lies))


def test_a_broken_or_locked_archive_is_refused() -> None:
    whole = packed(BOOK)
    assert "it is not whole, or locked" in said(whole[: len(whole) // 2])
    locked = bytearray(whole)
    for mark, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        locked[locked.index(mark) + at] |= 1
    assert "it is not whole, or locked" in said(bytes(locked))


@given(
    strategies.sampled_from([drawn("JPEG"), drawn("PNG"), drawn("WEBP"), packed(BOOK)]),
    strategies.lists(
        strategies.tuples(strategies.integers(0, 400), strategies.binary(max_size=4)), max_size=4
    ),
    strategies.integers(0, 2_000),
)
def test_no_damage_is_a_fault_of_ours(content: bytes, hits: list[tuple[int, bytes]], length: int) -> None:
    for at, put in hits:
        content = content[:at] + put + content[at + len(put) :]
    with suppress(BadInput):
        assert checked(content[:length], (*PICTURES, Kind.XLSX), 1_000_000) in Kind
