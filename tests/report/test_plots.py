"""Plots: figures where their scale says, told apart without colour, told in words."""

import re
from itertools import pairwise

from remnants.report.drawing import Area, Dash, Drawing, Fill, Lines, Pen, Words
from remnants.report.plots import Series, bars_plot, columns_plot, levels_plot
from remnants.report.svg import svg_text

LABELS = tuple(f"month {number}" for number in range(24))


def words(drawing: Drawing) -> list[str]:
    return re.findall(r"<text[^>]*>([^<]*)</text>", svg_text(drawing))


def test_a_level_stands_where_its_scale_says() -> None:
    """Ticks 0 and 1,000 are drawn; 500 must lie half way between them, and the steps be as many as periods."""
    plot = levels_plot("In store", LABELS, [Series("All", tuple(500.0 for _ in LABELS))], unit="m²")
    figures = {mark.text: mark.at[1] for mark in plot.marks if isinstance(mark, Words)}
    (run,) = next(mark.runs for mark in plot.marks if isinstance(mark, Lines) and mark.pen is Pen.THICK)
    assert len(run) == 48
    assert {round(y, 6) for _, y in run} == {round(figures["0"] + (figures["500"] - figures["0"]), 6)}


def test_lines_differ_by_dash_and_columns_by_filling_and_each_is_named() -> None:
    series = [Series(name, (3.0, 5.0)) for name in ("All", "Velder", "Harrow")]
    lines = levels_plot("In store", LABELS[:2], series, unit="m²")
    dashes = [mark.dash for mark in lines.marks if isinstance(mark, Lines) and mark.pen in (Pen.THICK, Pen.PLAIN)]
    assert {Dash.SOLID, Dash.DASHED, Dash.DOTTED} <= set(dashes) and {"All", "Velder", "Harrow"} <= set(words(lines))
    columns = columns_plot("Flows", LABELS[:2], series, unit="m²")
    fills = [mark.fill for mark in columns.marks if isinstance(mark, Area)]
    assert fills.count(Fill.INK) == 3 and fills.count(Fill.PAPER) == 6  # two periods, and one sample in the key


def test_it_is_told_in_words_for_those_who_cannot_see_it() -> None:
    told = levels_plot("In store", ("Jan", "Feb", "Mar"), [Series("All", (10.0, 30.0, 20.0))], unit="m²").told
    assert "All: 10.0 in Jan, most 30.0 in Feb, 20.0 in Mar" in told
    assert "Velder 3.0 m²" in bars_plot("By style", [("Velder", 3.0, "3.0 m²")], unit="m²").told


def test_nothing_at_all_is_a_plot_too_and_texts_are_escaped() -> None:
    assert "<path" in svg_text(columns_plot("Flows", ("Jan",), [Series("Came in", (0.0,))], unit="m²"))
    assert bars_plot("By style", [], unit="m²").marks == ()
    assert "<script" not in svg_text(bars_plot("By style", [("<script>", 1.0, "1")], unit="m²"))


def test_long_names_and_many_periods_stay_on_the_paper_and_off_one_another() -> None:
    series = [
        Series("a very long style name indeed " * 3, tuple(1.0 for _ in LABELS)),
        Series("b" * 90, tuple(2.0 for _ in LABELS)),
    ]
    plot = levels_plot("In store", LABELS, series, unit="m²")
    texts = [mark for mark in plot.marks if isinstance(mark, Words)]
    assert all(mark.box[0] >= 0 and mark.box[2] <= plot.width_mm for mark in texts)
    below = sorted((mark.box for mark in texts if mark.text.startswith("month")), key=lambda box: box[0])
    assert all(one[2] < other[0] for one, other in pairwise(below))
