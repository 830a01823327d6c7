"""A chart's figures are the same in the drawing, the table and the file; what is no chart."""

import csv
import io
import json

import pytest
from django.http import Http404
from django.template import Context
from django.template.loader import get_template
from django.test import RequestFactory
from hypothesis import given, settings
from hypothesis import strategies as st

from stages.charts.answers import charts_csv
from stages.charts.chart import KINDS, Chart, Mark, Series

WEEKS = ("2 Mar", "9 Mar", "16 Mar")
PAGE = RequestFactory().get("/turnaround/", {"period": "90", "label": "3"})


def chart(*series, **changed) -> Chart:
    told = {
        "id": "passed", "title": "What passed", "says": "Three weeks.",
        "x_name": "Week", "x": WEEKS, "y_name": "Boards", "series": series,
    }  # fmt: skip
    return Chart(**told | changed)


def figure(one: Chart) -> str:
    context = Context({"chart": one})
    context.request = PAGE
    return get_template("stages/charts/figure.html").template.render(context)


def asked(wanted: str, *charts):
    return charts_csv(RequestFactory().get("/turnaround/", {"csv": wanted}), charts)


def test_an_interval_stands_beside_its_value_and_a_line_in_every_row():
    one = chart(
        Series("Days", (4.04, None, 6), low=(3, None, 5), high=(5, None, 7.5), flagged=(2,)),
        Series("Boards", (1, 2, 3), "bars"),
        marks=(Mark("Limit", 6.5),),
    )
    header, rows = one.rows()
    assert header == (
        "Week", "Days", "Days, low", "Days, high", "Days, marked", "Boards", "Limit",
    )  # fmt: skip
    assert rows == [
        ("2 Mar", 4.0, 3.0, 5.0, "", 1.0, 6.5),
        ("9 Mar", None, None, None, "", 2.0, 6.5),
        ("16 Mar", 6.0, 5.0, 7.5, "marked", 3.0, 6.5),
    ]
    assert one.written[1] == ("9 Mar", "–", "–", "–", "", "2.0", "6.5")


def test_whole_numbers_stay_whole():
    one = chart(Series("Boards", (1.0, 2.0, 3.0)), x=(0.5, 1.0, 1.5), decimals=0)
    assert one.written == [("0.5", "1"), ("1", "2"), ("1.5", "3")]
    assert one.drawn["numeric"]


def test_nothing_is_written_without_a_sign():
    assert chart(Series("Change", (-0.04, 0.0, -0.06))).written == [
        ("2 Mar", "0.0"), ("9 Mar", "0.0"), ("16 Mar", "-0.1"),
    ]  # fmt: skip


def test_a_series_looks_by_its_place_or_as_it_says():
    drawn = chart(Series("Left", (1, 2, 3)), Series("Shaping", (1, 2, 3), look=7)).drawn
    assert [series["look"] for series in drawn["series"]] == [0, 7]
    assert not any(series["calm"] for series in drawn["series"])


@settings(deadline=None)  # the first reads the template
@given(
    values=st.lists(st.none() | st.floats(-1e6, 1e6), min_size=3, max_size=3),
    decimals=st.integers(0, 3),
    kind=st.sampled_from(KINDS),
)
def test_the_table_the_file_and_the_drawing_hold_the_same_figures(values, decimals, kind):
    one = chart(Series("Days", tuple(values), kind), decimals=decimals)
    page = figure(one)
    drawn = json.loads(page.partition('type="application/json">')[2].partition("</script>")[0])
    file = asked("passed", one).content.decode("utf-8-sig")
    in_file = [row[1] for row in csv.reader(io.StringIO(file, newline=""))][1:]
    in_table = [text for _, text in one.written]
    assert drawn["x"] == list(WEEKS)
    known = [v for v in drawn["series"][0]["values"] if v is not None]
    assert known == [float(text) for text in in_file if text]
    assert known == [float(text) for text in in_table if text != "–"]
    assert known == pytest.approx(
        [v for v in values if v is not None], abs=0.5001 * 10**-decimals
    )
    assert page.count('<td class="number">') == 3


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: chart(Series("Days", (1, 2))),
        lambda: chart(Series("Days", (1, 2, float("nan")))),
        lambda: chart(Series("Days", (1, 2, 3), low=(1, 1, 1))),
        lambda: chart(Series("Days", (1, 2, 3), low=(1, 1, 1), high=(2, 2))),
        lambda: chart(Series("Days", (1, 2, 3), flagged=(3,))),
        lambda: chart(Series("Days", (1, 2, 3), "pie")),
        lambda: chart(Series("Days", (1, 2, 3)), x=("2 Mar", 3.0, 4.0)),
        lambda: chart(Series("Days", (1, 2, 3)), x=(1.0, 2.0, float("inf"))),
        lambda: chart(Series("Days", (1, 2, 3)), marks=(Mark("Limit", float("inf")),)),
        lambda: chart(Series("Days", (1, 2, 3)), id="What passed"),
    ],
)  # fmt: skip
def test_figures_that_do_not_belong_together_are_refused(wrong):
    with pytest.raises(ValueError):
        wrong()


def test_the_link_to_the_file_keeps_what_the_page_was_asked():
    one = chart(Series("Days", (1, 2, 3)))
    page = figure(one)
    assert 'href="?period=90&amp;label=3&amp;csv=passed"' in page


def test_a_name_cannot_break_out_of_the_figures():
    one = chart(Series("</script><script>alert(1)</script>", (1, 2, 3)))
    page = figure(one)
    assert "<script>" not in page
    assert page.count("</script>") == 1


def test_the_file_is_called_as_the_chart_and_no_cell_runs_as_a_formula():
    answer = asked("passed", chart(Series("Days", (-1.5, 2, 3)), x=("=1+1", "b", "c")))
    assert answer["Content-Disposition"] == 'attachment; filename="passed.csv"'
    assert answer.content.decode("utf-8-sig").splitlines()[:2] == ["Week,Days", "'=1+1,-1.5"]


def test_nothing_asked_is_nothing_answered_and_an_unknown_chart_is_no_page():
    one = chart(Series("Days", (1, 2, 3)))
    assert charts_csv(PAGE, [one]) is None
    with pytest.raises(Http404):
        asked("other", one)


def test_without_figures_it_says_so():
    page = figure(chart(Series("Days", ()), x=()))
    assert "There are no figures for this yet." in page
    assert "<canvas" not in page
