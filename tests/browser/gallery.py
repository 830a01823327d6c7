"""Every kind of chart on one page, for test_charts alone. The figures are invented."""

from django.http import HttpResponse
from django.template import engines
from django.urls import path

from config.urls import urlpatterns as every_page
from orders.accounts.access import public
from stages.charts.answers import charts_csv
from stages.charts.chart import Chart, Mark, Series

WEEKS = tuple(f"{day} Mar" for day in range(2, 26, 2))
STAGES = (
    "Shaping",
    "Fin boxes and leash plugs set before glassing",
    "Glassing",
    "Sanding, gloss and polish",
    "QC",
)
NINE = ("One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine")
FIGURES = (4.0, 3.5, 6.0, None, 5.0, 9.5, 4.5, 5.5, 6.0, 5.0, 4.0, 5.5)

PAGE = """
{% extends "base.html" %}
{% block css %}{% include "stages/charts/head.html" %}{% endblock %}
{% block content %}
<h1>Charts</h1>
{% for chart in charts %}{% include "stages/charts/figure.html" %}{% endfor %}
{% endblock %}
"""


def charts() -> list[Chart]:
    spread = tuple(None if v is None else v - 1.5 for v in FIGURES)
    above = tuple(None if v is None else v + 1.5 for v in FIGURES)
    return [
        Chart(
            "control", "Days a board takes, week by week", "The week of 12 Mar stands out.",
            "Week", WEEKS, "Days",
            (Series("Mean", FIGURES, low=spread, high=above, flagged=(5,)),),
            (Mark("Upper limit", 8.2), Mark("Mean", 5.3), Mark("Lower limit", 2.4)),
        ),
        Chart(
            "stacked", "Boards on the floor", "The floor holds about ten boards.",
            "Day", WEEKS, "Boards",
            tuple(
                Series(name, tuple(float(i % 4 + n) for i in range(12)), "area", stack="floor")
                for n, name in enumerate(NINE)
            ), decimals=0,
        ),
        Chart(
            "across", "Work in front of each stage", "Glassing has most in front of it.",
            "Stage", STAGES, "Hours",
            (
                Series("Waiting", (3.0, 2.0, 14.5, 4.0, 1.0), "bars", stack="work"),
                Series("In hand", (1.0, 1.0, 4.0, 0.0, 1.0), "bars", stack="work"),
            ),
            (Mark("A day's hours", 8.0),), across=True,
        ),
        Chart(
            "bars", "First pass", "Nine of ten boards pass at once.", "Week", WEEKS, "Percent",
            (Series("First pass", FIGURES, "bars", low=spread, high=above, flagged=(5,)),),
        ),
        Chart(
            "steps", "Boards that are still waiting", "Half are gone after three days.",
            "Days since release", (0.0, 0.5, 2.0, 3.0, 7.5), "Share",
            (
                Series("By the log", (1.0, 0.9, 0.7, 0.5, 0.1), "steps",
                       low=(0.9, 0.8, 0.5, 0.3, 0.0), high=(1.0, 1.0, 0.9, 0.7, 0.4)),
                Series("Fitted", (1.0, 0.85, 0.66, 0.48, 0.12), dashed=True),
                Series("Measured", (0.98, None, 0.6, 0.45, 0.2), "points",
                       low=(0.9, None, 0.5, 0.3, 0.1), high=(1.0, None, 0.7, 0.6, 0.3)),
            ), decimals=2,
        ),
        Chart("empty", "Nothing yet", "Nothing.", "Week", (), "Boards", (Series("Boards", ()),)),
    ]  # fmt: skip


@public("a page of the tests")
def gallery(request):
    shown = charts()
    page = engines["django"].from_string(PAGE)
    return charts_csv(request, shown) or HttpResponse(page.render({"charts": shown}, request))


urlpatterns = [path("gallery/", gallery), *every_page]
