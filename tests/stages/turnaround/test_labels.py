"""Whose label a board bears narrows and splits every figure of the turnaround page."""

import csv
import io
import uuid

import pytest
import time_machine
from django.core.cache import cache
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.customers.models import Customer, CustomerKind
from orders.orderbook.actions import BoardAsked, OrderAsked, take_order
from stages.floor.actions import release_board
from stages.log.fold import Kind
from tests.stages.turnaround.floor import do, hours, judged_only, on_floor, route
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


@pytest.fixture
def label(world):
    return Customer.objects.create(
        name="Tern & Daughter", kind=CustomerKind.LABEL, search="tern", added_at=MONDAY
    )


@pytest.fixture
def mara(client, world):
    with time_machine.travel(hours(24 * 9), tick=False):
        client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
        yield client


@pytest.fixture
def boards(world, label):
    """Two of ours passed after one and three days, the label's after five; one of each stands."""
    way = route(world, "QC alone", "QC")
    ours = [judged_only(world, days, by_route=way) for days in (1, 3)]
    order = take_order(
        asked=OrderAsked(
            customer=label,
            boards=[BoardAsked(spec=world.spec()), BoardAsked(spec=world.spec())],
            ref=uuid.uuid4(),
        ),
        by=world.cleo,
        at=MONDAY,
    )
    theirs, standing = order.boards.order_by("number")
    for board in (theirs, standing):
        release_board(board=board, by=world.cleo, at=MONDAY, route=way)
    do(world, theirs, world.quin, 24 * 5 - 0.25, 24 * 5, Kind.PASSED)
    return {"ours": ours, "theirs": theirs, "standing": standing, "here": on_floor(world, way)}


def shown(client, **asked) -> dict:
    return client.get(reverse("turnaround"), asked).context["found"]


def flow(client, **asked):
    return client.get(reverse("turnaround-flow"), asked).context["found"]


def numbers(client, **asked) -> list[int]:
    answer = client.get(reverse("turnaround-csv"), asked)
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    return [int(row["board"]) for row in csv.DictReader(io.StringIO(text))]


def test_a_label_has_its_own_figures_and_ours_are_without_it(mara, boards, label):
    # By hand: 5 days for the label's board; 1 and 3 for ours, median 2.
    every = shown(mara)
    assert [(r.name, r.boards, round(r.median, 2)) for r in every.labels] == [
        ("Our own boards", 2, 2.0),
        ("Tern & Daughter", 1, 5.0),
    ]
    assert every.boards == 3
    theirs = shown(mara, label=label.pk)
    assert (theirs.boards, theirs.labels) == (1, [])
    assert shown(mara, label="own").boards == 2
    assert set(numbers(mara, figure="passed", label="own")) == {b.number for b in boards["ours"]}


def test_what_stands_on_the_floor_and_the_flow_through_it_are_the_labels_alone(mara, boards, label):
    # One of the label's boards stands there at the end; Little's law holds for its boards alone.
    theirs = flow(mara, label=label.pk)
    assert theirs.law.exact.at_end == 1
    assert theirs.totals[-1] == 1
    assert flow(mara).totals[-1] == 2


def test_the_load_is_of_all_boards_whosever_figures_are_asked_for(mara, boards, label):
    assert shown(mara, label=label.pk).load == shown(mara).load
    page = mara.get(reverse("turnaround"), {"label": label.pk}).content.decode()
    assert "Only: Tern &amp; Daughter." in page and "This is of all boards" in page


def test_every_list_and_its_file_are_narrowed_and_name_the_label(mara, boards, label):
    assert numbers(mara, figure="passed", label=label.pk) == [boards["theirs"].number]
    assert numbers(mara, figure="standing", label=label.pk) == [boards["standing"].number]
    assert numbers(mara, figure="standing", label="own") == [boards["here"].number]
    assert numbers(mara, figure="floor", day="2026-03-10", label="own") == [boards["here"].number]
    answer = mara.get(reverse("turnaround-csv"), {"figure": "passed"})
    text = b"".join(answer.streaming_content).decode("utf-8-sig")
    labels = {row["board"]: row["label"] for row in csv.DictReader(io.StringIO(text))}
    assert labels[str(boards["theirs"].number)] == "Tern & Daughter"
    assert labels[str(boards["ours"][0].number)] == ""


def test_links_keep_the_label_and_a_wrong_one_is_no_list(mara, boards, label):
    page = mara.get(reverse("turnaround"), {"label": label.pk}).content.decode()
    assert f"period=12w&amp;label={label.pk}&amp;figure=passed" in page
    answer = mara.get(reverse("turnaround-boards"), {"figure": "passed", "label": "999999"})
    assert answer.status_code == 404


def test_a_label_costs_no_query_more(mara, boards, label):
    def cost(**asked) -> int:
        with CaptureQueriesContext(connection) as made:
            mara.get(reverse("turnaround"), asked)
        return len(made)

    # the second look remembers what the first one read, so each is asked for anew
    cache.clear()
    every = cost()
    cache.clear()
    assert cost(label=label.pk) <= every
