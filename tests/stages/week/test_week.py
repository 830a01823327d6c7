"""The manager's week: what it counts, in words and on one page of paper, whatever happened."""

import io
import uuid
from collections import Counter
from dataclasses import replace
from datetime import date, timedelta

import pypdfium2 as pdfium
import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext

from stages.charts.chart import Chart
from stages.crew.models import ChangedHours, ClosedDays, CrewMember, DaysOff
from stages.defects.actions import scrap_board
from stages.floor.actions import hand_over
from stages.forecast.forecast import BoardForecast
from stages.log.fold import Kind
from stages.statistics.times import wilson
from stages.turnaround.queries import PassedBoard
from stages.week.away import NextWeek
from stages.week.figures import FloorRow, Passed, week_figures
from stages.week.pdf import week_pdf
from stages.week.run import charts
from stages.week.sections import MOST, sections
from stages.week.weeks import IsoWeek
from tests.stages.turnaround.floor import do, hours, judged_only, on_floor, route
from tests.world import MONDAY

pytestmark = pytest.mark.django_db
WEEK = IsoWeek(date(2026, 3, 2))
SUNDAY = MONDAY + timedelta(days=6)
NEXT = MONDAY + timedelta(days=8)


@pytest.fixture
def qc(world):
    return route(world, "Judge", "QC")


def told(now=SUNDAY, week=WEEK) -> dict[str, str]:
    """All that each section says, in one string."""
    return {
        one.key: " ".join(
            [*(said.text for said in one.says),
             *(" ".join(row.cells) for row in one.rows or ()),
             *([one.more.text] if one.more else [])]
        )
        for one in sections(week_figures(week, now=now))
    }  # fmt: skip


def text_of(content: bytes) -> str:
    document = pdfium.PdfDocument(io.BytesIO(content))
    assert len(document) == 1
    wide, high = document[0].get_size()
    assert (round(wide), round(high)) == (595, 842)
    return " ".join(document[0].get_textpage().get_text_range().split())


def paper(now=SUNDAY, week=WEEK) -> str:
    return text_of(week_pdf(week_figures(week, now=now)))


def test_boards_on_their_day_and_late_ones_by_name(world, qc):
    judged_only(world, 2, by_route=qc, promised_on=date(2026, 3, 4))
    late = judged_only(world, 4, by_route=qc, promised_on=date(2026, 3, 3))
    judged_only(world, 3, by_route=qc, promised_on=None)
    judged_only(world, 9, by_route=qc, promised_on=date(2026, 3, 3))  # the week after
    passed = told(now=MONDAY + timedelta(days=14))["passed"]
    assert passed.startswith("3 boards passed QC. Of 2 with a promise, 1 passed on their day.")
    assert passed.endswith(f"{late.number} Åse Tangvær 3 days")
    assert "That is 50\u00a0%" in passed


def test_the_latest_comes_first_and_the_rest_are_counted(world, qc, monkeypatch):
    monkeypatch.setattr("stages.week.sections.MOST", 2)
    for day in (4, 1, 5, 3, 2):
        judged_only(world, 5, by_route=qc, promised_on=date(2026, 3, day))
    figures = week_figures(WEEK, now=SUNDAY)
    passed = next(one for one in sections(figures) if one.key == "passed")
    assert [row.cells[2] for row in passed.rows] == ["6 days", "5 days"]
    assert passed.more.text == "and 3 more, see the list of late boards."


def test_only_the_running_week_tells_of_danger_and_of_what_holds_the_factory_back(world):
    for _ in range(3):
        board = world.released(promised_on=date(2026, 3, 3))
    running, over = told(now=MONDAY), told(now=NEXT)
    assert running["danger"].startswith("3 promises less likely than 80 % to be kept.")
    assert f"{board.number} Åse Tangvær Tue 3 Mar under 1\u00a0%" in running["danger"]
    assert "Shaping has the most: 3 boards wait" in running["load"]
    for key in ("danger", "load"):
        assert over[key].startswith("Told of the running week only")


def test_a_board_whose_day_has_gone_by_is_late_and_not_in_danger(world):
    board = world.released(promised_on=date(2026, 3, 3))
    world.released(promised_on=date(2027, 3, 3))
    danger = told(now=hours(72))["danger"]
    assert danger.startswith("1 board is late already. No other promise is in danger")
    assert f"{board.number} Åse Tangvær Tue 3 Mar 2 days late" in danger


def test_what_stands_on_the_floor_now_and_when_a_week_ended(world, qc):
    for _ in range(2):
        on_floor(world, qc)
    taken = on_floor(world, qc)
    world.log(taken, Kind.TAKEN, world.quin, hours(1))
    world.log(on_floor(world, qc), Kind.HELD, world.mara, hours(1), payload={"reason": "a dent"})
    assert told(now=hours(2))["floor"] == "4 boards in process now. QC 4 2 1 0 1 0"
    world.log(taken, Kind.PASSED, world.quin, MONDAY + timedelta(days=7))
    assert told(now=NEXT)["floor"] == "4 boards in process when the week ended. QC 4"


def test_first_pass_counts_what_was_never_sent_back_and_not_what_was_undone(world):
    by_route = route(world, "Shape and judge", "Shaping", "QC")
    back = {"to": 0, "defect": "pressure dent"}
    for number in range(3):
        board = on_floor(world, by_route)
        do(world, board, world.inka, 1, 2)
        if number == 0:
            world.log(board, Kind.TAKEN, world.quin, hours(3))
            world.log(board, Kind.SENT_BACK, world.quin, hours(3.5), payload=back)
            do(world, board, world.inka, 4, 5)
        if number == 1:
            world.log(board, Kind.TAKEN, world.quin, hours(3))
            ref = uuid.uuid4()
            world.log(board, Kind.SENT_BACK, world.quin, hours(3.5), payload=back, ref=ref)
            world.log(board, Kind.UNDONE, world.quin, hours(3.501), payload={"ref": str(ref)})
            world.log(board, Kind.PASSED, world.quin, hours(7))
            continue
        do(world, board, world.quin, 6, 7, Kind.PASSED)
    said = told()["setbacks"]
    assert said.startswith("Sent back 1 time: 1 board. None was scrapped.")
    assert "First pass: 2 of the 3 that passed QC, 67\u00a0%" in said


def test_a_board_beyond_saving_is_counted_and_whether_it_is_made_again(world, qc):
    lost = on_floor(world, qc)
    scrap_board(board=lost, reason="broken", by=world.mara, at=hours(3))
    assert "Scrapped: 1 board, 1 of them made again." in told()["setbacks"]


def test_what_came_in_against_what_went_out(world, qc):
    world.ordered(at=hours(5))
    gone = judged_only(world, 1, by_route=qc)
    hand_over(board=gone, by=world.cleo, at=hours(30))
    world.ordered(at=NEXT)
    assert told(now=NEXT)["flow"] == (
        "In: 2 boards in 2 orders. Released: 1. "
        "Out: 1 passed QC, 1 handed over. So 1 more came in than passed QC."
    )


def test_people_away_the_week_after_without_the_days_that_are_closed(world):
    DaysOff.objects.create(
        member=CrewMember.objects.get(user=world.bo), first=date(2026, 3, 6), last=date(2026, 3, 10)
    )
    inka = CrewMember.objects.get(user=world.inka)
    ChangedHours.objects.create(member=inka, day=date(2026, 3, 13), spans=[])
    ClosedDays.objects.create(first=date(2026, 3, 10), last=date(2026, 3, 10), why="stocktaking")
    said = told()["away"]
    assert said == "Closed Tue 10 Mar: stocktaking. Bo Mon 9 Mar Inka Fri 13 Mar"


def test_too_few_boards_for_a_percentile_are_said_to_be_too_few(world, qc):
    for days in range(1, 6):
        judged_only(world, days, by_route=qc)
    said = told()["takes"]
    assert "Half of this week's boards took 3.0 days or less." in said
    assert "Too few to say the median: it needs 6." in said
    judged_only(world, 3, by_route=qc)
    said = told()["takes"]
    assert "Half of the boards took 3.0 days or less; between 24 h" in said


def test_an_empty_week_is_one_page_and_says_so(world):
    text = paper()
    for words in (
        "Week 10, 2 to 8 March 2026", "Gannet Rock Boards", "0 boards passed QC.",
        "No promise is in danger, under 80 %.", "0 boards in process now.",
        "None was sent back.", "Nobody is down as away.", "Turnaround: release to QC pass",
    ):  # fmt: skip
        assert words in text, words


def test_sixty_late_boards_with_huge_names_are_one_page(world):
    name = "Anne-Margrethe Øvrebø-Kristoffersen av Storskarvøya og Omegns " * 3
    quiet = week_figures(WEEK, now=SUNDAY)
    late = [
        (PassedBoard(n, 10_000 + n, name, MONDAY, SUNDAY, date(2026, 1, 1)), 66)
        for n in range(60)
    ]
    danger = [
        BoardForecast(20_000 + n, date(2026, 3, 9), None, None, None, 0.41, name, True)
        for n in range(60)
    ]
    away = [(f"{name} {n}", [WEEK.later(1).days[day] for day in (0, 2, 4)]) for n in range(40)]
    closed = dict.fromkeys(WEEK.later(1).days, name)
    loud = replace(
        quiet,
        passed=Passed([board for board, _ in late], late, wilson(0, 60), 5.0),
        today=replace(quiet.today, danger=danger, customers={n.number: name for n in danger},
                      holds_back=f"{name} holds the factory back: " + name),
        floor=[FloorRow(f"{name} {n}", 9, Counter(waiting=9)) for n in range(14)],
        ahead=NextWeek(quiet.ahead.week, away, closed),
    )  # fmt: skip
    text = text_of(week_pdf(loud))
    for words in (
        "60 boards passed QC.", f"and {60 - MOST} more, see the list of late boards.",
        "60 promises less likely than 80 % to be kept.", f"and {60 - MOST} more, see Morning.",
        "Øvrebø-Kristoffersen", "41 %", "What came in, what went out",
        f"and {40 - MOST} more, see Crew.", "Turnaround: release to QC pass",
    ):  # fmt: skip
        assert words in text, words


def test_nothing_stands_where_letter_paper_ends(world, qc):
    """Letter is 279.4 mm high, A4 297: centred, 8.8 mm of the page fall off at each end."""
    judged_only(world, 6, by_route=qc, promised_on=date(2026, 3, 3))
    page = pdfium.PdfDocument(io.BytesIO(week_pdf(week_figures(WEEK, now=SUNDAY))))[0]
    bounds = [one.get_bounds() for one in page.get_objects(max_depth=8)]
    off = 8.8 / 25.4 * 72
    assert min(low for _, low, _, _ in bounds) > off
    assert max(high for _, _, _, high in bounds) < 842 - off


def test_the_page_and_the_paper_say_the_same(as_, world, qc):
    judged_only(world, 4, by_route=qc, promised_on=date(2026, 3, 3))
    with time_machine.travel(SUNDAY, tick=False):
        client = as_(world.mara)
        page = client.get("/week/")
        sheet = text_of(client.get("/week/2026-W10.pdf").content)
    for section in page.context["sections"]:
        for words in (section.title, *(said.text for said in section.says)):
            assert words.replace("\u00a0", " ") in sheet.replace("\u00a0", " "), words


def test_every_figure_opens_to_the_boards_behind_it(as_, world, qc):
    judged_only(world, 4, by_route=qc, promised_on=date(2026, 3, 3))
    with time_machine.travel(SUNDAY, tick=False):
        client = as_(world.mara)
        links = [
            said.to
            for section in client.get("/week/").context["sections"]
            for said in section.says
            if said.to
        ]
        assert len(links) >= 8
        for link in links:
            assert client.get(link).status_code == 200, link


def test_one_may_choose_a_week_that_has_come_and_no_other(as_, world):
    with time_machine.travel(NEXT, tick=False):
        client = as_(world.mara)
        page = client.get("/week/", {"week": "2026-W10"})
        assert page.context["figures"].week == WEEK
        assert page.context["after"].name == "2026-W11"
        assert client.get("/week/").context["after"] is None
        for wrong in ("2026-W12", "1999-W01", "2026-W99", "last", ""):
            assert client.get("/week/", {"week": wrong}).status_code == 404
            assert client.get(f"/week/{wrong}.pdf").status_code == 404


def test_the_run_is_twelve_weeks_and_its_file_says_which(as_, world, qc):
    for days, promised in [(1, 9), (2, 3), (8, 9), (8, 20)]:
        judged_only(world, days, by_route=qc, promised_on=date(2026, 3, promised))
    judged_only(world, 7, by_route=qc, promised_on=None)
    (run,) = charts(week_figures(WEEK.later(1), now=NEXT + timedelta(days=2)))
    assert isinstance(run, Chart)
    header, rows = run.rows()
    assert header == ("Week from Monday", "On their day", "No promise", "Late")
    assert len(rows) == 12
    assert rows[-2:] == [("2 Mar", 1, 0, 1), ("9 Mar", 1, 1, 1)]
    with time_machine.travel(NEXT + timedelta(days=2), tick=False):
        file = as_(world.mara).get("/week/", {"csv": "passed", "week": "2026-W11"})
    assert file.content.decode("utf-8-sig").splitlines()[-1] == "9 Mar,1,1,1"


def test_the_page_asks_as_often_for_many_boards_as_for_one(as_, world, qc):
    def asked(client) -> int:
        client.get("/week/")
        judged_only(world, 4, by_route=qc, promised_on=date(2026, 3, 3))
        on_floor(world, qc)
        with CaptureQueriesContext(connection) as queries:
            assert client.get("/week/").status_code == 200
        return len(queries)

    with time_machine.travel(SUNDAY, tick=False):
        client = as_(world.mara)
        judged_only(world, 4, by_route=qc, promised_on=date(2026, 3, 3))
        few = asked(client)
        for _ in range(6):
            judged_only(world, 4, by_route=qc, promised_on=date(2026, 3, 3))
            on_floor(world, qc)
        assert asked(client) == few
