"""Plans as PDF, as drawing programs write them: lines and texts at the scale that is said; a scan is refused."""

import io
import logging
import random
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from remnants.errors import BadFile, BadInput
from remnants.exchange.plans.pdf import pdf_drawn, scale_of
from remnants.exchange.plans.rooms import PlanRead, plan_rooms
from remnants.exchange.plans.said import PlanSaid
from remnants.geometry.outline import area_mm2, bounds
from remnants.units import Unit
from tests.commands import Remnants

MM = 72 / 25.4
"""Points to a millimetre of paper."""


def a_page(draw: Any, *, pages: int = 1, **more: Any) -> bytes:
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(420 * MM, 297 * MM), **more)
    for _ in range(pages):
        canvas.scale(MM, MM)
        draw(canvas)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def flat(canvas: Any) -> None:
    """At 1:50: a lounge of 4 x 5 m, a hall of 1.2 x 5 m, walls of 100 mm, a frame, a table, the scale."""
    canvas.setLineWidth(0.2)
    canvas.rect(5, 5, 410, 287)
    canvas.setLineWidth(0.7)
    for left, right in ((100, 180), (182, 206)):
        for line in ((left, 50, right, 50), (right, 50, right, 150), (right, 150, left, 150), (left, 150, left, 50)):
            canvas.line(*line)
    canvas.setFont("Helvetica", 4)
    for text, x, y in (("Lounge", 120, 90), ("4.00 x 5.00", 120, 80), ("Hall", 186, 100), ("Scale 1:50", 350, 15)):
        canvas.drawString(x, y, text)
    canvas.setLineWidth(0.1)
    canvas.rect(110, 110, 24, 16)


def read(data: bytes, **said: Any) -> PlanRead:
    options = PlanSaid(**({"scale": 50.0} | said))
    return plan_rooms(pdf_drawn(data, "flat.pdf", options), "flat.pdf", options, Unit.MM)


def refused(data: bytes, **said: Any) -> str:
    with pytest.raises(BadFile) as told:
        read(data, **said)
    return str(told.value)


def test_lines_are_rooms_at_the_scale_that_is_said_and_texts_their_names() -> None:
    thick = f"{0.7 * MM:.2g} pt"
    plan = read(a_page(flat), layers=(thick,))
    sizes = {room.name: [round(side) for side in bounds(room.ring)] for room in plan.rooms}
    assert {name: (right - left, top - low) for name, (left, low, right, top) in sizes.items()} == {
        "Lounge": (4000, 5000),
        "Hall": (1200, 5000),
    }


def test_lines_of_all_widths_are_asked_about_or_read_one_by_one() -> None:
    plan = read(a_page(flat))
    assert [room.name for room in plan.rooms] == ["Lounge", "Hall"]
    assert any("1 outline lies inside a room" in note for note in plan.notes)


def test_curves_make_a_room_no_smaller() -> None:
    def tower(canvas: Any) -> None:
        canvas.circle(200, 150, 60)

    (room,) = read(a_page(tower)).rooms
    true_mm2 = 3.14159265 * 3000**2
    assert true_mm2 - 1 <= area_mm2(room.ring) <= true_mm2 * 1.001


def test_the_scale_is_asked_for_with_what_stands_on_the_page() -> None:
    assert "a PDF tells no scale: say it, such as 1:50, for the page at 420 mm × 297 mm; on it stands 1:50" in refused(
        a_page(flat), scale=0.0
    )
    assert scale_of("1:50") == 50 and scale_of(" 1/12,5 ") == 12.5
    for bad in ("50", "1:0", "2:1", "1:x", ""):
        with pytest.raises(BadInput, match="no scale"):
            scale_of(bad)


def scan(canvas: Any) -> None:
    canvas.drawImage(ImageReader(Image.new("L", (60, 40), 200)), 0, 0, 420, 297)


def hatched(canvas: Any) -> None:
    path = canvas.beginPath()
    for step in range(50_100):
        path.moveTo(step % 400, step // 400)
        path.lineTo(step % 400 + 0.5, step // 400)
        if step % 1000 == 999:
            canvas.drawPath(path)
            path = canvas.beginPath()


BAD: dict[str, tuple[bytes, dict[str, Any], str]] = {
    "scan": (
        a_page(scan),
        {},
        "it is a scan: page 1 holds no lines; measure from it, or ask for the plan as its drawing",
    ),
    "text": (a_page(lambda canvas: canvas.drawString(9, 9, "Lounge 4 x 5 m")), {}, "page 1 holds no lines"),
    "locked": (a_page(flat, encrypt="secret"), {}, "it is protected by a password: save it without"),
    "cut": (a_page(flat)[:300], {}, "flat.pdf: "),
    "no PDF": (b"%PDF-1.4 nothing", {}, "no PDF that can be read, or it breaks off; save it anew"),
    "page": (a_page(flat), {"page": 3}, "there is no page 3: it has 1"),
    "unit": (a_page(flat), {"scale": 1.0}, "is narrower than a room: say which scale the drawing is in"),
}


@pytest.mark.parametrize("fault", BAD)
def test_what_cannot_be_read_is_told_plainly(fault: str) -> None:
    data, said, words = BAD[fault]
    assert words in refused(data, **said)


def test_a_plan_damaged_anywhere_is_read_or_refused_in_our_own_words_alone() -> None:
    chance, sound = random.Random(5), a_page(flat, pageCompression=0)
    for _ in range(40):
        at, length = chance.randrange(len(sound)), chance.choice((1, 4, 300))
        damaged = sound[:at] + bytes(chance.choice(b"0189-.eE\n \xff[]<>") for _ in range(length)) + sound[at + length :]
        try:
            read(damaged)
        except BadFile as error:
            assert all(fault.what for fault in error.faults)
    assert any(isinstance(each, logging.NullHandler) for each in logging.getLogger("pdfminer").handlers), "its reader is silent"


def test_one_page_of_several_is_read_and_told() -> None:
    assert "page 2 of 3 is read" in read(a_page(flat, pages=3), page=2).notes


def test_an_order_is_made_of_a_plan(remnants: Remnants) -> None:
    path: Path = remnants.folder / "flat.pdf"
    path.write_bytes(a_page(flat))
    words = ("order", path, "--no-stock", "--tries", "1", "--roll-width", "4 m", "--unit", "m")
    assert "Lounge" in remnants.ok(*words, "--scale", "1:50")
    assert "a PDF tells no scale" in remnants.refused(*words, code=2)
    assert "--scale: 'half' is no scale" in remnants.refused(*words, "--scale", "half", code=2)
