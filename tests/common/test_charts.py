"""The small charts: scale, marks and the table beside them."""

import re

from django.template import Context, Template

from advisory.common.charts import Chart, Mark, Series, figure


def make_chart(**fields: object) -> Chart:
    values: dict[str, object] = {
        "title": "Running clearance",
        "sentence": "It has grown by 0.4 thou.",
        "series": [Series("Measured", [(0, 2.6), (3000, 2.8), (6000, 3.0)])],
        "x_label": "Miles",
        "y_label": "thou",
    }
    return Chart(**(values | fields))  # type: ignore[arg-type]


def draw(chart: Chart) -> str:
    return Template('{% load components %}{% chart chart name="wear" %}').render(
        Context({"chart": chart})
    )


def test_scale_reaches_from_zero_over_the_highest_mark() -> None:
    ticks = make_chart(marks=[Mark("Wear limit", 4.0)]).y_ticks
    assert [words for _, words in ticks] == ["0", "1", "2", "3", "4"]


def test_higher_figures_stand_higher_and_later_ones_further_right() -> None:
    [(_, _, points)] = make_chart().lines
    xs = [float(x) for x, _ in points]
    ys = [float(y) for _, y in points]
    assert xs == sorted(xs)
    assert ys == sorted(ys, reverse=True)


def test_one_point_is_drawn_without_a_division_by_nothing() -> None:
    chart = make_chart(series=[Series("Measured", [(1000, 2.6)])], from_zero=False)
    assert len(chart.lines[0][2]) == 1


def test_bars_stand_on_the_zero_line_also_below_it() -> None:
    chart = make_chart(
        kind="bar", x_words=["None", "Bypass"], series=[Series("Change", [(0, 20), (1, -10)])]
    )
    [(_, (above, below))] = chart.bars
    assert float(above["y"]) + float(above["height"]) == float(below["y"])


def test_page_has_drawing_and_table_with_the_same_figures() -> None:
    html = draw(make_chart(marks=[Mark("Wear limit 4 thou", 4.0)]))
    assert 'aria-labelledby="wear-title wear-desc"' in html
    assert len(re.findall("<circle", html)) == 3
    for cell in ("2.6", "2.8", "3"):
        assert f'<td class="number">{cell}</td>' in html
    assert "Wear limit 4 thou" in html
    assert "style=" not in html


def test_empty_chart_says_so_and_draws_nothing() -> None:
    html = draw(make_chart(series=[Series("Measured", [])]))
    assert "<svg" not in html
    assert "Nothing to draw yet" in html


def test_figure_parts_thousands_and_keeps_small_figures() -> None:
    assert figure(12000) == "12\N{NARROW NO-BREAK SPACE}000"
    assert figure(-0.25) == "\N{MINUS SIGN}0.25"
    assert figure(2_500_000) == "2\N{NARROW NO-BREAK SPACE}500\N{NARROW NO-BREAK SPACE}000"
