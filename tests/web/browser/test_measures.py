"""The picture reads lengths as the server does: never otherwise, at most not at all."""

import math

import pytest

from remnants.errors import BadMeasure
from remnants.units import Unit, parse_length
from tests.test_units import READ, REFUSED
from tests.web.browser.conftest import Shop

READER = """async ([texts, units]) => {
    const { readMm } = await import('/static/measure.js');
    return texts.map((text, i) => readMm(text, units[i]));
}"""

READ_BACK = """async () => {
    const { readMm, write } = await import('/static/measure.js');
    const lengths = Array.from({ length: 2000 }, (_, i) => i * 12.7);
    return lengths.filter((mm) => !(Math.abs(readMm(write(mm, 'in'), 'in') - mm) < 0.01));
}"""


def test_the_picture_reads_a_length_as_the_server_answers_it_or_not_at_all(shop: Shop) -> None:
    page = shop.page("Wim")
    page.goto("/patch")
    cases = [(text, unit) for text, unit, _ in READ if isinstance(text, str)]
    cases += [(text, unit) for text, _ in REFUSED if isinstance(text, str) for unit in (Unit.IN, Unit.MM)]
    drawn = page.evaluate(READER, [[text for text, _ in cases], [unit.value for _, unit in cases]])
    for (text, unit), mm in zip(cases, drawn, strict=True):
        answered = answer(text, unit)
        assert mm is None or math.isnan(mm) or mm == pytest.approx(answered, abs=0.001), (text, unit, mm, answered)
    assert drawn[cases.index(("3’ 2½”", Unit.MM))] == pytest.approx(977.9)
    assert drawn[cases.index(("12’–6½”", Unit.MM))] == pytest.approx(3822.7)
    assert sum(mm is not None and not math.isnan(mm) for mm in drawn) > 30, "most of what is typed in figures is drawn"
    assert page.evaluate(READ_BACK) == [], "each half inch that it writes itself, up to 83 ft"


def answer(text: str, unit: Unit) -> float:
    try:
        return parse_length(text, unit)
    except BadMeasure:
        return math.nan
