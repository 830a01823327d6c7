"""From the order book to the floor: boards to release, their routes, their tickets."""

from dataclasses import dataclass, field

from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_http_methods

from orders.accounts.access import COUNTER, EVERYONE_SIGNED_IN, allow
from orders.blanks.models import Blank
from orders.blanks.queries import blanks_of
from orders.orderbook.models import Board, in_turn
from orders.orderbook.queries import open_points
from orders.whole_numbers import whole_number
from stages.floor.actions import ReleaseRefused, release_boards
from stages.floor.forms import ReleaseForm
from stages.floor.papers import print_tickets
from stages.floor.queries import floor_count
from stages.forecast.queries import forecast_settings
from stages.routes.models import Route
from stages.routes.queries import proposed_steps

MOST = 200  # boards on one page, tickets in one file


@dataclass
class Row:
    """One board that may be released, with every route in words and the one that is chosen."""

    board: Board
    ways: list[tuple[Route, str]]
    chosen: Route
    ticked: bool = False
    blank: str = ""
    error: str = ""
    steps: str = field(init=False)

    def __post_init__(self):
        self.steps = next((words for route, words in self.ways if route == self.chosen), "")


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
def release(request):
    routes = list(Route.objects.filter(retired_at=None).prefetch_related("steps__stage"))
    order = whole_number(request.GET.get("order"))
    rows = _rows(routes, order=order, posted=request.POST if request.method == "POST" else None)
    problem, asking = "", None
    if request.method == "POST":
        choices = [(row.board, row.chosen) for row in rows if row.ticked]
        gone = _gone(request.POST.getlist("board"), rows)
        if not choices or gone:
            problem = gone or "Tick the boards to release."
        else:
            asking = _asking(request, [board for board, _ in choices])
            answered = asking.is_valid()
            try:
                with transaction.atomic():
                    release_boards(choices=choices, by=request.user, at=timezone.now())
                    if not answered:
                        transaction.set_rollback(True)  # only what cannot go was to be found
            except ReleaseRefused as refused:
                problem = "Nothing was released yet. See the marked boards; the ticks are kept."
                for row in rows:
                    row.error = refused.sentences.get(row.board.number, "")
            else:
                problem = " ".join(asking.non_field_errors())
            if not problem:
                numbers = [("board", board.number) for board, _ in choices]
                return redirect(f"{reverse('released')}?{urlencode(numbers)}")
    context = {"rows": rows, "order": order, "problem": problem, "most": MOST, "routes": routes,
               "keeps_blanks": Blank.objects.kept().exists(), "floor": floor_count(),
               "limit": forecast_settings().floor_limit, "asking": asking}
    return render(
        request, "stages/floor/release.html", context, status=422 if problem else 200
    )


def _asking(request, boards: list[Board]) -> ReleaseForm:
    floor, limit = floor_count(), forecast_settings().floor_limit
    points = open_points(boards)
    if limit and floor + len(boards) > limit:
        points.append(
            gettext("The floor takes %(limit)s boards: with these it has %(floor)s.")
            % {"limit": limit, "floor": floor + len(boards)}
        )
    return ReleaseForm(request.POST, points=points)


def _rows(routes, *, order: int | None, posted) -> list[Row]:
    """Boards by promise; what was ticked and chosen in `posted` is kept. Whoever comes from one
    order wants its boards: they are ticked."""
    boards = (
        Board.objects.unreleased()
        .exclude(spec=None)
        .select_related("order__customer", "spec")
        .order_by(*in_turn())
    )
    if order is not None:
        boards = boards.filter(order__number=order)
    if not routes:
        return []
    by_pk = {str(route.pk): route for route in routes}
    ticked = set(posted.getlist("board")) if posted is not None else set()
    all_ticked = posted is None and order is not None
    rows = []
    boards = list(boards[:MOST])
    blanks = blanks_of(boards)
    for board in boards:
        chosen = by_pk.get((posted or {}).get(f"route-{board.number}", ""), routes[0])
        ways = [(route, _steps_words(route, board)) for route in routes]
        rows.append(
            Row(
                board, ways, chosen, all_ticked or str(board.number) in ticked,
                blanks.get(board.pk, ""),
            )  # fmt: skip
        )
    return rows


def _steps_words(route: Route, board: Board) -> str:
    steps = proposed_steps(route, board.spec, comes_shaped=board.comes_shaped)
    return ", ".join(step.stage.name for step in steps) or "no step fits"


def _gone(ticked: list[str], rows: list[Row]) -> str:
    """Boards that were ticked and can no longer be released, in a sentence."""
    here = {str(row.board.number) for row in rows}
    gone = [number for number in ticked if number not in here]
    if not gone:
        return ""
    names = ", ".join(gone)
    return (
        f"Board {names} is no longer waiting to be released: someone released, changed or "
        "cancelled it meanwhile. Nothing was released; the other ticks are kept."
    )


@allow(COUNTER)
@never_cache
@require_GET
def released(request):
    """The boards that went to the floor, and their tickets to print."""
    numbers = _numbers(request)
    boards = Board.objects.filter(number__in=numbers).exclude(released_at=None)
    boards = list(boards.select_related("spec", "order").order_by("number"))
    if not boards:
        raise Http404
    blanks = blanks_of(boards)
    for board in boards:
        board.blank_name = blanks.get(board.pk, "")
    context = {"boards": boards, "query": urlencode([("board", b.number) for b in boards])}
    return render(request, "stages/floor/released.html", context)


@allow(EVERYONE_SIGNED_IN)
@never_cache
@require_GET
def tickets(request):
    """The live tickets of ?board=N&board=M as one PDF."""
    numbers = _numbers(request)
    pdf = print_tickets(numbers[:MOST]) if numbers else None
    if pdf is None:
        raise Http404
    name = f"tickets-{numbers[0]}.pdf" if len(numbers) == 1 else "tickets.pdf"
    return HttpResponse(
        pdf,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}"'},
    )


def _numbers(request) -> list[int]:
    found = (whole_number(text) for text in request.GET.getlist("board"))
    return [number for number in found if number is not None]
