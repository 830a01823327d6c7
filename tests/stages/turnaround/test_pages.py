"""The turnaround pages as the manager meets them: figures that open, lists, files, doors."""

import csv
import io
import re
from datetime import date, timedelta
from html import unescape

import pytest
import time_machine
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.customers.models import Customer
from stages.charts.csv import safe
from stages.log.fold import Kind
from stages.turnaround.columns import LISTS
from tests.stages.turnaround.floor import do, judged_only, on_floor, route
from tests.world import MONDAY

pytestmark = pytest.mark.django_db

SIGNED_IN = "orders.accounts.backends.PasswordBackend"
NEXT_WEEK = MONDAY + timedelta(days=8)


@pytest.fixture
def manager(client, world):
    with time_machine.travel(NEXT_WEEK, tick=False):
        client.force_login(world.mara, backend=SIGNED_IN)
        yield client


@pytest.fixture
def qc_only(world):
    return route(world, "QC alone", "QC")


@pytest.fixture
def three_boards(world, qc_only):
    """Passed after 1, 3 and 5 days: by the promise, two days after it, and without one."""
    return [
        judged_only(world, 1, by_route=qc_only, promised_on=date(2026, 3, 3)),
        judged_only(world, 3, by_route=qc_only, promised_on=date(2026, 3, 3)),
        judged_only(world, 5, by_route=qc_only),
    ]


PAGES = ["turnaround", *(f"turnaround-{n}" for n in ("times", "flow", "ageing", "indicators"))]


def numbers(response) -> list[int]:
    return [row.number for row, _ in response.context["lines"]]


def read_csv(response) -> list[dict]:
    text = b"".join(response.streaming_content).decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


def test_only_managers_read_turnaround(client, world):
    addresses = [reverse(name) for name in PAGES] + [
        reverse("turnaround-times") + f"?crew={world.bo.pk}",
        reverse("turnaround-boards") + "?figure=passed",
        reverse("turnaround-csv") + "?figure=passed",
    ]
    assert all(client.get(address).status_code == 302 for address in addresses)
    for person, status in (
        (world.cleo, 403),
        (world.inka, 403),
        (world.mara, 200),
        (world.odd, 200),
    ):
        client.force_login(person, backend=SIGNED_IN)
        assert [client.get(address).status_code for address in addresses] == [status] * 8


def test_the_morning_report_reads_in_sentences(manager, three_boards):
    page = manager.get(reverse("turnaround")).content.decode()
    words = unescape(re.sub(r"<[^>]+>", "", re.sub(r"[ \n]+", " ", page)))
    assert "Nothing is waiting." in words
    assert "3 boards in 84 days" in words
    assert "Too few boards to say: it needs 6, 3 passed." in words
    assert "50\u00a0% 1 of 2; between" in words


def test_every_link_of_the_pages_opens(manager, three_boards, world, qc_only):
    on_floor(world, qc_only)
    lists = set()
    for name in PAGES:
        page = manager.get(reverse(name)).content.decode()
        ids = set(re.findall(r' id="([^"]+)"', page))
        links = {unescape(link) for link in re.findall(r'href="([^"]+)"', page)}
        meanings = {link[1:] for link in links if link.startswith("#means")}
        assert meanings <= ids, name
        lists |= {link for link in links if link.startswith(reverse("turnaround-boards"))}
    figures = {re.search(r"figure=([\w-]+)", link)[1] for link in lists}
    assert {"passed", "promised", "on-time", "late", "week", "stage", "ageing"} <= figures
    assert {"standing", "released"} <= figures <= set(LISTS)
    for link in lists:
        assert manager.get(link).status_code == 200, link


@pytest.mark.parametrize("name", PAGES)
def test_nothing_is_styled_inline_and_every_chart_has_its_table_and_file(
    manager, three_boards, world, qc_only, name
):
    on_floor(world, qc_only)
    answer = manager.get(reverse(name))
    page = answer.content.decode()
    assert " style=" not in page
    charts = answer.context["charts"]
    assert bool(charts) == (name != "turnaround-indicators")
    assert page.count("<figure") == len(charts)
    for chart in charts:
        file = manager.get(reverse(name), {"csv": chart}).content.decode("utf-8-sig")
        assert len(file.splitlines()) == len(charts[chart].x) + 1
    assert manager.get(reverse(name), {"csv": "no-such"}).status_code == 404


@pytest.mark.parametrize("name", PAGES)
def test_an_empty_factory_has_every_page_and_no_empty_chart(manager, name):
    page = manager.get(reverse(name))
    assert page.status_code == 200
    assert "<figure" not in page.content.decode()


def test_where_nothing_has_passed_it_is_too_early_to_say_how_long_boards_take(manager, world):
    world.released()
    page = manager.get(reverse("turnaround-times")).content.decode()
    assert "too early to say how long they take" in page and "<figure" not in page
    assert "Oldest first." in manager.get(reverse("turnaround-ageing")).content.decode()


@pytest.mark.parametrize("name", PAGES)
def test_links_to_the_other_pages_keep_what_was_asked(manager, world, three_boards, name):
    asked = {"period": "26w", "construction": "polyester-pu", "stage": world.stages["QC"].pk}
    page = unescape(manager.get(reverse(name), asked).content.decode())
    kept = f"?period=26w&construction=polyester-pu&stage={world.stages['QC'].pk}"
    assert all(f"{reverse(other)}{kept}" in page for other in PAGES)


def test_the_late_list_shows_who_was_late_and_by_how_much(manager, three_boards):
    response = manager.get(reverse("turnaround-boards"), {"figure": "late"})
    assert numbers(response) == [three_boards[1].number]
    assert response.context["lines"][0][0].late_days == 2
    assert reverse("board", args=[three_boards[1].number]) in response.content.decode()


def test_a_list_is_sent_as_a_file_as_it_was_asked_for_whole(manager, three_boards):
    asked = {"figure": "passed", "period": "26w", "page": 1}
    page = unescape(manager.get(reverse("turnaround-boards"), asked).content.decode())
    assert f'href="{reverse("turnaround-csv")}?figure=passed&period=26w"' in page


@pytest.mark.parametrize(
    ("asked", "which"),
    [
        ({"figure": "passed"}, [2, 1, 0]),
        ({"figure": "promised"}, [1, 0]),
        ({"figure": "on-time"}, [0]),
        ({"figure": "week", "week": "2026-03-02"}, [2, 1, 0]),
        ({"figure": "week", "week": "2026-03-09"}, []),
        ({"figure": "floor", "day": "2026-03-03"}, [1, 2]),
        ({"figure": "standing"}, []),
        ({"figure": "over"}, []),
        ({"figure": "released"}, [0, 1, 2]),
        (
            {"figure": "passed", "period": "custom", "from": "2026-03-03", "to": "2026-03-05"},
            [1, 0],
        ),
    ],
)
def test_each_figure_opens_on_the_boards_behind_it(manager, three_boards, asked, which):
    response = manager.get(reverse("turnaround-boards"), asked)
    assert numbers(response) == [three_boards[i].number for i in which]
    rows = read_csv(manager.get(reverse("turnaround-csv"), asked))
    assert [int(row["board"]) for row in rows] == [three_boards[i].number for i in which]


def test_the_stage_list_gives_each_board_its_hours_there(manager, world, three_boards):
    asked = {"figure": "stage", "stage": world.stages["QC"].pk}
    row = read_csv(manager.get(reverse("turnaround-csv"), asked))[-1]
    assert (row["queue_hours"], row["touch_hours"], row["rest_hours"]) == ("23.75", "0.25", "0.0")


def test_boards_standing_now_show_what_is_left_of_their_step(manager, world, qc_only):
    waiting, started = on_floor(world, qc_only), on_floor(world, qc_only)
    ten_minutes_ago = NEXT_WEEK - timedelta(minutes=10)
    world.log(started, Kind.TAKEN, world.quin, ten_minutes_ago)
    rows = read_csv(manager.get(reverse("turnaround-csv"), {"figure": "standing"}))
    assert [(int(r["board"]), r["state"], r["minutes_left"]) for r in rows] == [
        (waiting.number, "waiting", "15"),
        (started.number, "in hand", "5"),
    ]


def test_the_file_names_its_columns_and_the_page_says_what_they_mean(manager, three_boards):
    response = manager.get(reverse("turnaround-csv"), {"figure": "passed"})
    assert response.streaming
    assert response["Content-Type"] == "text/csv; charset=utf-8"
    assert 'filename="passed-' in response["Content-Disposition"]
    longest = read_csv(response)[0]
    assert longest == {
        "board": str(three_boards[2].number),
        "turnaround_days": "5.0",
        "late_days": "",
        "promised": "",
        "qc_passed": "2026-03-07 09:00",
        "released": "2026-03-02 09:00",
        "customer": "Åse Tangvær",
        "label": "",
    }
    page = manager.get(reverse("turnaround-boards"), {"figure": "passed"}).content.decode()
    assert all(f"<code>{name}</code>" in page for name in longest)


def test_a_name_that_is_a_formula_stays_a_name_in_the_file(manager, three_boards):
    Customer.objects.update(name='=HYPERLINK("http://example.com")')
    row = read_csv(manager.get(reverse("turnaround-csv"), {"figure": "passed"}))[0]
    assert row["customer"] == '\'=HYPERLINK("http://example.com")'


@pytest.mark.parametrize("address", ["turnaround", "turnaround-times", "bottleneck"])
def test_two_dates_alone_are_the_period(manager, three_boards, address):
    asked = {"from": "2026-02-20", "to": "2026-03-02"}
    said = manager.get(reverse(address), {**asked, "played": "1"}).content.decode()
    assert "Fri 20 Feb to Mon 2 Mar" in said


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_text_a_spreadsheet_would_run_is_made_plain(start):
    assert safe(f"{start}1+1") == f"'{start}1+1"


def test_numbers_and_ordinary_words_stay_as_they_are():
    assert [safe(value) for value in (-2, 1.5, "Shaping", None)] == [-2, 1.5, "Shaping", ""]


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"from": "2026-03-05", "to": "2026-03-02"}, "ends before it begins"),
        ({"from": "2026-03-05", "to": "2026-03-30"}, "has not come yet"),
        ({"from": "2026-03-30", "to": "2026-03-29"}, "ends before it begins"),
        ({"period": "", "from": "2026-03-05", "to": "2026-03-02"}, "ends before it begins"),
        ({"from": "2020-03-05", "to": "2026-03-02"}, "1100 days or fewer"),
        ({"from": "", "to": "2026-03-02"}, "Give a date."),
        ({"from": "", "to": ""}, "Give the first and the last day, or choose a period above."),
        ({"from": "yesterday", "to": "2026-03-02"}, "That is no day."),
    ],
)
def test_a_period_that_cannot_be_is_asked_for_again_with_what_was_typed(manager, asked, says):
    response = manager.get(reverse("turnaround"), {"period": "custom", **asked})
    assert response.status_code == 422
    page = response.content.decode()
    assert says in page
    assert 'value="2026-03-' in page or not asked["to"]


@pytest.mark.parametrize(
    "query",
    [
        "",
        "figure=nothing",
        "figure=week",
        "figure=floor",
        "figure=stage",
        "figure=stage&stage=9999",
        "figure=passed&construction=polyester-eps",
        "figure=passed&crew=9999",
        "figure=late&period=x",
    ],
)
def test_a_list_nobody_links_to_is_no_page(manager, query):
    assert manager.get(f"{reverse('turnaround-boards')}?{query}").status_code == 404
    assert manager.get(f"{reverse('turnaround-csv')}?{query}").status_code == 404


def test_ten_times_the_boards_ask_no_more_of_the_database(manager, world, qc_only, three_boards):
    short = route(world, "Short", "Shaping", "Glassing", "QC")

    def queries(address: str) -> int:
        cache.clear()
        with CaptureQueriesContext(connection) as seen:
            assert manager.get(address).status_code == 200
        return len(seen)

    on_floor(world, short)
    addresses = [reverse(name) for name in PAGES] + [
        f"{reverse('turnaround-boards')}?figure={figure}&stage={world.stages['QC'].pk}"
        "&day=2026-03-03&week=2026-03-02"
        for figure in LISTS
    ]
    queries(addresses[0])  # what a process reads once
    few = [queries(address) for address in addresses]
    for n in range(20):
        judged_only(world, 1 + n / 10, by_route=qc_only, promised_on=date(2026, 3, 3))
        board = on_floor(world, short)
        do(world, board, world.inka, 2, 4)
    assert [queries(address) for address in addresses] == few
    assert max(few) <= 24


def test_a_second_look_reads_nothing_anew_until_something_is_logged(manager, world, three_boards):
    def read_anew() -> tuple[bool, int]:
        with CaptureQueriesContext(connection) as seen:
            page = manager.get(reverse("turnaround"))
        read = any('"stages_visit"."arrived_at"' in query["sql"] for query in seen)
        return read, page.context["found"].boards

    assert read_anew() == (True, 3)
    assert read_anew() == (False, 3)
    judged_only(world, 2, by_route=route(world, "QC again", "QC"))
    assert read_anew() == (True, 4)
