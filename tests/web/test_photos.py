"""Photographs with a piece: drawn anew before they are kept, shown to who may see them, gone when taken away or forgotten."""

import hashlib
import io
import struct
import zlib
from typing import Any

import pytest
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from remnants.actions import open_catalogue
from remnants.actions.customers import forget_customer, put_customer
from remnants.actions.keep_safe import verify
from remnants.actions.log_pieces import log_pieces
from remnants.actions.photos import jpeg_of
from remnants.actions.show_piece import history_of
from remnants.actions.undo import undo_last
from remnants.errors import BadFile
from remnants.exchange.keepsake import kept_picture
from remnants.ledger import Act, Change, Photographed, PhotoTakenAway
from remnants.model import Kind
from remnants.model.customer import Customer
from tests.stock_values import SIGNED, a_piece, a_stock
from tests.web.conftest import Browser, House


def a_photo(size: tuple[int, int] = (600, 400), form: str = "JPEG", **more: object) -> bytes:
    out = io.BytesIO()
    Image.linear_gradient("L").resize(size).convert("RGB").save(out, form, **more)
    return out.getvalue()


def sent(browser: Browser, data: bytes, name: str = "a.jpg", tag: str = "R-0001", **fields: str) -> int:
    form = {"photo": (io.BytesIO(data), name), **fields}
    return int(browser.post(f"/pieces/{tag}/photos", data=form, content_type="multipart/form-data").status_code)


def shown(browser: Browser, number: int = 1) -> Image.Image:
    answer = browser.get(f"/photos/{number}.jpg")
    assert answer.status_code == 200 and answer.mimetype == "image/jpeg"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    return Image.open(io.BytesIO(answer.data))


def a_png_of(across: int, down: int) -> bytes:
    """A PNG of a few bytes that says it is so large."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", across, down, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 1000)) + chunk(b"IEND", b"")


def test_a_photograph_is_kept_upright_small_and_without_what_came_with_it(house: House) -> None:
    wim = house.browser("Wim")
    exif = Image.Exif()
    exif[0x0112] = 6  # turned a quarter
    exif[0x010F] = "An invented camera"
    exif.get_ifd(0x8825)[1] = "N"  # where it was taken
    assert sent(wim, a_photo((3000, 2000), exif=exif)) == 303
    kept = shown(wim)
    assert kept.format == "JPEG" and kept.size == (853, 1280)
    assert not kept.getexif()
    page = wim.get("/pieces/R-0001").text
    assert "Photograph 1 of R-0001, Velder Loop in Oatmeal" in page and "By Wim" in page


def laden(form: str) -> bytes:
    """A photograph that carries whatever its format can hold beside pixels."""
    exif = Image.Exif()
    exif[0x010F] = "SECRET camera"
    exif[0x9286] = "SECRET comment of the camera"
    exif.get_ifd(0x8825)[1] = "N"
    texts = PngInfo()
    texts.add_text("Comment", "SECRET text")
    own: dict[str, dict[str, Any]] = {
        "JPEG": {"comment": b"SECRET comment", "xmp": b"SECRET xmp"},
        "PNG": {"pnginfo": texts},
        "WEBP": {"xmp": b"SECRET xmp"},
    }
    return a_photo(form=form, exif=exif, icc_profile=b"SECRET profile" * 20, **own[form]) + b"SECRET behind the end"


def markers(jpeg: bytes) -> list[int]:
    """The markers of a JPEG in their order (ITU-T T.81, B.1.1.3); what is no marker ends it."""
    found, at = [0xD8], 2
    while jpeg[at] == 0xFF and jpeg[at + 1] != 0xDA:
        found.append(jpeg[at + 1])
        at += 2 + int.from_bytes(jpeg[at + 2 : at + 4], "big")
    return [*found, jpeg[at + 1]]


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_the_bytes_that_are_kept_hold_pixels_and_nothing_else(house: House, form: str) -> None:
    """Neither comment, place, profile, maker's notes nor what stands behind the picture: only what draws it."""
    photo = laden(form)
    assert photo.count(b"SECRET") >= 4
    assert sent(house.browser("Wim"), photo) == 303
    with open_catalogue(house.file, write=False) as catalogue:
        kept = jpeg_of(catalogue, 1)
    assert b"SECRET" not in kept
    # start, JFIF, tables of quantization and Huffman, frame, scan
    assert set(markers(kept)) == {0xD8, 0xE0, 0xDB, 0xC0, 0xC4, 0xDA}
    assert kept.endswith(b"\xff\xd9")
    assert b"SECRET" not in house.file.read_bytes()


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>", "a.jpg"),
        (b"GIF89a" + b"\0" * 400, "a.gif"),
        (a_photo()[:300], "cut.jpg"),
        (b"\xff\xd8\xff\xe0" + b"<script>alert(1)</script>" * 40, "polyglot.jpg"),
        (a_png_of(60_000, 60_000), "bomb.png"),
        (a_photo((60, 60)), "stamp.jpg"),
        (b"", "empty.jpg"),
    ],
    ids=["svg", "gif", "cut off", "script", "bomb", "tiny", "empty"],
)
def test_what_is_no_photograph_is_refused_and_nothing_is_kept(house: House, data: bytes, name: str) -> None:
    wim = house.browser("Wim")
    assert sent(wim, data, name) == 422
    assert wim.get("/photos/1.jpg").status_code == 404
    assert "None yet" in wim.get("/pieces/R-0001").text


def test_what_hides_behind_a_picture_does_not_come_in(house: House) -> None:
    wim = house.browser("Wim")
    assert sent(wim, a_photo() + b"<script>alert(1)</script>PK\x03\x04", "a.jpg.html") == 303
    answer = wim.get("/photos/1.jpg")
    assert b"script" not in answer.data and answer.mimetype == "image/jpeg"


def test_a_file_too_large_is_refused_before_it_is_read(house: House) -> None:
    body = b"--x\r\nContent-Disposition: form-data; name=photo; filename=a.jpg\r\n\r\n" + b"\xff" * (13 * 1024 * 1024)
    answer = house.browser("Wim").post("/pieces/R-0001/photos", data=body, content_type="multipart/form-data; boundary=x")
    assert answer.status_code == 413 and "10 MB" in answer.text


def test_a_piece_is_logged_with_its_photograph_once(house: House) -> None:
    wim = house.browser("Wim")
    answers = []
    for _ in range(2):
        form = {
            "style": "Velder Loop",
            "width": "30",
            "length": "40",
            "pile": "0",
            "key": "log-1",
            "photo": (io.BytesIO(a_photo()), "a.jpg"),
        }
        answers.append(wim.post("/log", data=form, content_type="multipart/form-data").location)
    assert answers[0] == answers[1]
    assert shown(wim).size == (600, 400)
    assert wim.get("/photos/2.jpg").status_code == 404
    bad = {"style": "Velder Loop", "width": "30", "length": "40", "pile": "0", "photo": (io.BytesIO(b"none"), "a.jpg")}
    answer = wim.post("/log", data=bad, content_type="multipart/form-data")
    assert answer.status_code == 422 and 'href="#photo"' in answer.text
    assert wim.get("/pieces/R-0004").status_code == 404


def test_one_sent_twice_is_kept_once_and_six_are_enough(house: House) -> None:
    wim = house.browser("Wim")
    assert [sent(wim, a_photo(), key="photo-1") for _ in range(2)] == [303, 303]
    assert wim.get("/photos/2.jpg").status_code == 404
    assert [sent(wim, a_photo((600 + n, 400))) for n in range(6)] == [303] * 5 + [409]


def test_one_taken_away_is_gone_and_who_did_it_stays(house: House) -> None:
    wim = house.browser("Wim")
    sent(wim, a_photo())
    assert house.browser("Lou").post("/photos/1/take-away").status_code == 403
    assert wim.post("/photos/1/take-away").status_code == 303
    assert wim.get("/photos/1.jpg").status_code == 404
    assert "taken away (Wim)" in wim.get("/pieces/R-0001").text
    assert wim.post("/photos/1/take-away").status_code == 404


def told(house: House, tag: str = "R-0001") -> list[tuple[Change, str]]:
    """The piece's entries after the one with which it came in, and who made each; the catalogue is proved on the way."""
    with open_catalogue(house.file, write=False) as catalogue:
        assert verify(catalogue).faults == ()
        return [(entry.change, entry.signed.who) for entry in history_of(catalogue, tag).entries[1:]]


def test_each_photograph_and_its_taking_away_is_an_entry_with_its_person(house: House) -> None:
    wim, maud = house.browser("Wim"), house.browser("Maud")
    assert [sent(wim, a_photo(), key="photo-1") for _ in range(2)] == [303, 303]
    file = wim.get("/photos/1.jpg").data
    maud.post("/photos/1/take-away")
    digest = hashlib.sha256(file).hexdigest()
    assert told(house) == [(Photographed(1, len(file), digest), "Wim"), (PhotoTakenAway(1), "Maud")]
    page = wim.get("/pieces/R-0001").text
    assert f"photographed number 1, {len(file) / 1024:.0f} KB, SHA-256 {digest[:12]}…" in page
    assert "photograph taken away number 1" in page
    with open_catalogue(house.file, write=False) as catalogue:
        longest = max(len(row["facts"]) for row in catalogue.query("SELECT facts FROM entry WHERE act LIKE 'photo%'"))
    assert longest < 200, "the picture itself is no part of the entry"


def test_a_photograph_that_is_refused_has_no_entry(house: House) -> None:
    wim = house.browser("Wim")
    assert sent(wim, b"none") == 422
    assert [sent(wim, a_photo((600 + n, 400))) for n in range(7)] == [303] * 6 + [409]
    assert len(told(house)) == 6


def test_taking_back_leaves_photographs_alone(house: House) -> None:
    wim = house.browser("Wim")
    wim.post("/pieces/R-0001/move", data={"place": "Bay 9"})
    sent(wim, a_photo())
    with open_catalogue(house.file, write=True) as catalogue:
        assert undo_last(catalogue, "R-0001", signed=SIGNED) == ("R-0001",)
        assert jpeg_of(catalogue, 1)
        acts = [entry.act for entry in history_of(catalogue, "R-0001").entries]
    assert acts == [Act.RECEIVED, Act.MOVED, Act.PHOTOGRAPHED, Act.UNDONE]
    assert told(house)


def test_a_photograph_at_a_customers_is_for_who_works_there_and_is_forgotten_with_them(house: House) -> None:
    wim, lou = house.browser("Wim"), house.browser("Lou")
    with open_catalogue(house.file, write=True) as catalogue:
        put_customer(catalogue, Customer("C-1", "Invented Person"), signed=SIGNED)
        laid = a_piece("L-0009", kind=Kind.LAID, place="Alder Court 7", room="hall", customer="C-1")
        log_pieces(catalogue, a_stock(laid), signed=SIGNED)
    assert sent(wim, a_photo(), tag="L-0009") == 303
    assert lou.get("/photos/1.jpg").status_code == 403
    assert "/photos/1.jpg" not in lou.get("/pieces/L-0009").text
    assert shown(wim).size == (600, 400)
    with open_catalogue(house.file, write=True) as catalogue:
        forget_customer(catalogue, "C-1", signed=SIGNED)
    assert wim.get("/photos/1.jpg").status_code == 404
    assert told(house, "L-0009")[-1] == (PhotoTakenAway(1), SIGNED.who)


def test_what_must_be_read_whole_may_have_fewer_pixels_than_what_is_read_small() -> None:
    """A PNG of 79 million pixels may be a file of 300 KB and takes gigabytes; a JPEG of as many is read at an eighth."""
    with pytest.raises(BadFile, match="at most 24 million pixels, or a JPEG"):
        kept_picture(a_png_of(8_900, 8_900))
    assert kept_picture(a_photo((8_000, 3_100))).across == 1280


def told_larger(jpeg: bytes, across: int, down: int) -> bytes:
    """The same JPEG, saying that it is so large."""
    at = next(at for at in (jpeg.find(mark) for mark in (b"\xff\xc2", b"\xff\xc0")) if at > 0)
    return jpeg[: at + 5] + struct.pack(">HH", down, across) + jpeg[at + 9 :]


def gone_over(jpeg: bytes, scans: int) -> bytes:
    """The same progressive JPEG, its last scan there so often."""
    last = jpeg.rindex(b"\xff\xda")
    return jpeg[:last] + jpeg[last:-2] * scans + b"\xff\xd9"


def test_a_jpeg_that_takes_its_whole_picture_in_memory_may_have_fewer_pixels_too() -> None:
    """A progressive one of 80 million pixels in 453 KB took 474 MB. It is refused by its head; one that a camera makes is not."""
    progressive = a_photo((900, 600), progressive=True)
    with pytest.raises(BadFile, match="9000 x 8800; give one of at most 24 million pixels"):
        kept_picture(told_larger(progressive, 9_000, 8_800))
    assert kept_picture(progressive).across == 900
    assert kept_picture(a_photo((4_000, 2_000), progressive=True)).across == 1280


def test_a_jpeg_gone_over_a_thousand_times_is_refused_by_its_marks() -> None:
    """One of 20,000 scans took over a minute."""
    with pytest.raises(BadFile, match="over 20 scans; save it anew"):
        kept_picture(gone_over(a_photo((900, 600), progressive=True), 1_000))


def test_a_small_picture_of_itself_inside_a_jpeg_is_no_scan() -> None:
    exif = Image.Exif()
    exif[0x9286] = b"\xff\xda\x00\x02" * 100
    assert kept_picture(a_photo((900, 600), exif=exif)).across == 900
