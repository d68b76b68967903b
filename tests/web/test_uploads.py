"""Hostile files at every field that takes one: huge, empty, two things at once, pictures with scripts, names with paths."""

import io
import json
import struct
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path

import pytest

from remnants.actions import open_catalogue
from tests.thorough import some
from tests.web.conftest import House
from tests.web.crawl import PageForm, crawl, read_page
from tests.web.test_hostile import SCRIPTS, check, forms_of, sound

SVG = b"""<?xml version="1.0"?><!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>
<svg xmlns="http://www.w3.org/2000/svg" onload="hostile()"><script>hostile()</script><text>&x;</text></svg>"""
"""A picture that is a script, and that asks for a file of the server."""


def png(width: int, height: int, rows: int = 1) -> bytes:
    """A PNG that says it is this large and holds a few grey rows (ISO/IEC 15948)."""
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(b"\0" * (width + 1) * rows)), (b"IEND", b""))
    parts = (struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data)) for kind, data in chunks)
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def zipped() -> bytes:
    """A few kilobytes that unpack to 16 MB."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("../../../evil.txt", b"\0" * 16_000_000)
    return held.getvalue()


FILES = {
    "nothing": b"",
    "script": b"<!doctype html><script>hostile()</script>",
    "svg": SVG,
    "gif and script": b"GIF89a/*\x01\0\x01\0*/=1;hostile()//<script>hostile()</script>",
    "png and page": png(8, 8, 8) + b"<html><script>hostile()</script>",
    "jpeg that breaks off": b"\xff\xd8\xff\xe0\0\x10JFIF\0\x01\x01" + b"\0" * 40,
    "picture of 2,500 million points": png(50_000, 50_000),
    "zip": zipped(),
    "binary": bytes(range(256)) * 64,
    "deep json": b"[" * 60_000,
    "json that names a file": b'{"unit": "m", "drawing": "/etc/passwd", "rooms": [{"name": "x", "layer": "0"}]}',
    "json of nonsense": json.dumps({"unit": "m", "rooms": [{"name": SCRIPTS[0], "width": 1e308, "length": -1}]}).encode(),
    "drawing": b"0\nSECTION\n2\nENTITIES\n0\nINSERT\n2\nself\n1\n/etc/passwd\n0\nEOF\n" * 50,
    "wrong characters": b"\xff\xfe\xfd{}",
}  # fmt: skip
NAMES = ("../../../../evil.py", "/etc/cron.d/evil", "x.svg", "a.php\0.png", "..\\..\\evil.bat", "<script>.png", "n" * 3000, "")


def uploads(house: House) -> list[PageForm]:
    return [form for form in forms_of(house.browser("Maud")).values() if form.files]


def everything_under(folder: Path) -> set[Path]:
    return {path for path in folder.rglob("*") if not path.name.startswith("stock.db")}


def sendings() -> Iterator[tuple[str, bytes, str]]:
    """Each file under a plain name, and each name with one file."""
    yield from ((kind, data, "photo.jpg") for kind, data in FILES.items())
    yield from (("png and page", FILES["png and page"], name) for name in NAMES)


def test_every_field_that_takes_a_file_refuses_or_tames_what_is_hostile(house: House) -> None:
    """A form takes each third file, and the next form the next ones; each takes all where all is asked for."""
    forms, maud = uploads(house), house.browser("Maud")
    assert forms, "the pages take files, and the walk over them finds where"
    before, around = everything_under(house.file.parent), set(Path(__file__).parent.iterdir())
    for number, form in enumerate(forms):
        for kind, data, name in some(tuple(sendings()), begin=number):
            for field in form.files:
                sent = form.fields | {field: (io.BytesIO(data), name, "image/jpeg")}
                answer = maud.post(form.action, data=sent, content_type="multipart/form-data")
                check(f"{form.action} {kind} {name!r}", answer)
    assert everything_under(house.file.parent) == before, "files lie in the catalogue or nowhere"
    assert set(Path(__file__).parent.iterdir()) == around
    sound(house)


def test_whatever_was_sent_comes_back_as_a_picture_made_here_or_not_at_all(house: House) -> None:
    """A picture is written anew: what stood behind or in it is gone, and its type is what it is."""
    for form in uploads(house):
        for field in form.files:
            for data in (FILES["png and page"], FILES["svg"], FILES["gif and script"], png(300, 200, 200)):
                sent = form.fields | {field: (io.BytesIO(data), "photo.png", "image/png")}
                house.browser("Maud").post(form.action, data=sent, content_type="multipart/form-data")
    maud = house.browser("Maud")
    looked_at: set[str] = set()
    for path, answer in crawl(maud):
        if answer.mimetype == "text/html":
            for picture in set(read_page(path, answer.text).pictures) - looked_at:
                looked_at.add(picture)
                got = maud.get(picture)
                assert got.status_code == 200 and got.mimetype in ("image/jpeg", "image/webp", "image/png"), picture
                assert got.headers["X-Content-Type-Options"] == "nosniff" and got.headers["Cache-Control"] == "no-store"
                assert b"hostile" not in got.data and not got.data.startswith(b"<")
    assert looked_at, "at least the honest picture was kept"


def test_what_is_larger_than_ten_megabytes_is_not_read(house: House) -> None:
    for form in uploads(house):
        body = b'--b\r\nContent-Disposition: form-data; name="%s"; filename="x.jpg"\r\n\r\n' % form.files[0].encode()
        body += b"\xff" * (13 * 1024 * 1024) + b"\r\n--b--\r\n"
        answer = house.browser("Maud").post(form.action, data=body, content_type="multipart/form-data; boundary=b")
        assert answer.status_code == 413


def test_the_catalogue_grows_by_no_more_than_a_picture_is_worth(house: House) -> None:
    """However large a picture claims to be, what is kept of it is small."""
    before = house.file.stat().st_size
    for form in uploads(house):
        sent = form.fields | {field: (io.BytesIO(png(6000, 4000, 4000)), "x.png", "image/png") for field in form.files}
        check(form.action, house.browser("Maud").post(form.action, data=sent, content_type="multipart/form-data"))
    with open_catalogue(house.file, write=True) as catalogue:
        catalogue.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    assert house.file.stat().st_size - before < 4_000_000


@pytest.mark.parametrize("name", ["Lou", ""])
def test_those_who_may_not_work_send_no_files(house: House, name: str) -> None:
    """A form that only asks, such as for an order, may take a file of anybody; one that logs may not."""
    for form in uploads(house):
        if form.action.startswith(("/log", "/pieces")):
            sent = form.fields | {field: (io.BytesIO(png(8, 8, 8)), "x.png", "image/png") for field in form.files}
            answer = house.browser(name).post(form.action, data=sent, content_type="multipart/form-data")
            assert answer.status_code in (401, 403)
