"""The counter's forms: a new order, another board, a change before release, and their drawing."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from orders.accounts.access import COUNTER, allow
from orders.blanks.queries import recheck
from orders.customers.forms import WhoForm
from orders.customers.queries import unit_typed
from orders.factory.models import Factory
from orders.focus import focus_first_error
from orders.merging.notices import say_what_stayed
from orders.merging.transactions import for_edit, merging_view
from orders.orderbook.actions import change_boards
from orders.orderbook.alike import alike_unreleased, numbers_in_words
from orders.orderbook.alike_forms import AlsoForm
from orders.orderbook.counter import add_boards_once, base_of, take_order_at_counter
from orders.orderbook.forms import BoardForm, ChangeForm, TermsForm, filled, same_again
from orders.orderbook.models import Board, Order
from orders.specs.models import SpecRevision
from orders.whole_numbers import whole_number


def _today():
    return timezone.localdate(timezone=Factory.current().zone)


def _wants_only_help(request) -> bool:
    """A button that asks for something on the page, for browsers without scripts: no saving yet."""
    return "look" in request.POST or "fill" in request.POST


def _typed(request) -> dict:
    """What was typed, to open the form with again, with a design filled in when that was asked."""
    typed = request.POST.dict()
    return _filled(typed, force=True) if "fill" in typed else typed


def _filled(typed: dict, *, force: bool) -> dict:
    form = BoardForm(typed, today=_today())
    form.is_valid()
    return filled(typed, form.cleaned_data.get("design_version"), force=force)


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
def new_order(request):
    """A whole custom order on one page."""
    if request.method == "GET" or _wants_only_help(request):
        start = _typed(request) if request.method == "POST" else {}
        if request.method == "GET" and (older := _older(request.GET.get("same_as", ""))):
            start = same_again(older)
        if customer := request.GET.get("customer"):
            start["customer"] = customer
        forms = WhoForm(initial=start), BoardForm(initial=start, today=_today()), TermsForm(
            initial=start
        )
        return _order_form(request, *forms)
    board = BoardForm(request.POST, today=_today())
    forms = WhoForm(request.POST), board, TermsForm(request.POST, board=board)
    # Before anything else: the customer this form added must not be noticed as somebody known.
    if (taken := forms[2].taken_before()) is not None:
        return _taken_before(request, taken)
    if any(form.errors for form in forms):
        return _order_form(request, *forms, status=422)
    who, board, terms = forms
    order, taken_now = take_order_at_counter(
        ref=terms.cleaned_data["ref"],
        customer=who.known,
        newcomer=who.values(),
        boards=[board.asked()] * board.alike,
        deposit_cents=terms.cleaned_data["deposit"],
        deposit_paid_cents=terms.cleaned_data["deposit_paid"],
        note=terms.cleaned_data["note"],
        by=request.user,
        at=timezone.now(),
    )
    if not taken_now:
        return _taken_before(request, order)
    boards = f" with {board.alike} boards" if board.alike > 1 else ""
    messages.success(request, f"Order {order.number} is taken{boards}. Print the paper to sign.")
    return redirect("order", order.number)


def _older(key: str) -> SpecRevision | None:
    """The spec revision a new board is to be the same as."""
    specs = SpecRevision.objects.select_related("board__order", "design_version__design")
    return specs.filter(pk=whole_number(key)).first()


def _taken_before(request, order: Order):
    messages.info(
        request,
        f"This form was sent before: order {order.number} stands, and nothing was added twice. "
        "If you changed something since, change it here.",
    )
    return redirect("order", order.number)


def _order_form(request, who, board, terms, status=200):
    focus_first_error(who, board, terms)
    context = {
        "who": who, "form": board, "terms": terms, "path": request.path,
        "unit": who.reads_in,
    }  # fmt: skip
    return render(request, "orders/orderbook/new_order.html", context, status=status)


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
def add_board(request, number):
    """More boards of the same order, from nothing or like one that there is."""
    order = get_object_or_404(Order.objects.select_related("customer"), number=number)
    boards = order.boards.count()
    if request.method == "GET" or _wants_only_help(request):
        start = _typed(request) if request.method == "POST" else {}
        if request.method == "GET" and (like := _older(request.GET.get("same_as", ""))):
            start = same_again(like)
            if like.board.order_id == order.pk:
                start["price"] = like.board.price_cents or ""
        form = BoardForm(initial=start, today=_today())
        return _board_form(request, form, order=order, seen=boards)
    form = BoardForm(request.POST, today=_today())
    if form.is_valid():
        seen = whole_number(request.POST.get("boards"))
        try:
            added, added_now = add_boards_once(
                order=order,
                asked=form.asked(),
                alike=form.alike,
                seen=boards if seen is None else seen,
                by=request.user,
                at=timezone.now(),
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            messages.success(request, _added(added, added_now))
            return redirect("order", order.number)
    return _board_form(request, form, order=order, seen=boards, status=422)


def _added(boards: list[Board], now: bool) -> str:
    first, last = boards[0].number, boards[-1].number
    which = f"Board {first} is" if first == last else f"Boards {first} to {last} are"
    return f"{which} added{'' if now else ' already; nothing was added twice'}."


@allow(COUNTER)
@never_cache
@require_http_methods(["GET", "POST"])
@merging_view
def change_board(request, number):
    """Other numbers, price or date, before the board is on the floor."""
    boards = for_edit(request, Board.objects.select_related("order__customer", "spec"))
    board = get_object_or_404(boards, number=number)
    if board.released_at:
        messages.info(
            request, f"Board {number} is on the floor. Change it there: the bays get a new ticket."
        )
        return redirect("board", number)
    # Of its own: a bound form writes what is typed into its instance.
    spec = SpecRevision.objects.get(pk=board.spec_id)
    base, others = base_of(board), [one for one in alike_unreleased(board) if one != board]
    start = {
        "price": board.price_cents,
        "promised_on": board.promised_on,
        "comes_shaped": board.comes_shaped,
    }
    if request.method == "GET" or _wants_only_help(request):
        form = ChangeForm(instance=spec, initial={**start, **_typed(request)}, today=_today())
        ticked = request.POST.getlist("also")
        ticked = [one.number for one in others] if "all" in request.GET else ticked
        also = AlsoForm(initial={"also": ticked}, boards=others)
        return _board_form(request, form, order=board.order, board=board, seen=base, also=also)
    form = ChangeForm(request.POST, instance=spec, initial=start, today=_today())
    also = AlsoForm(request.POST, boards=others)
    if form.is_valid() & also.is_valid():
        boards = [board, *also.cleaned_data["also"]]
        try:
            change_boards(
                boards=boards, asked=form.asked(), reason=form.cleaned_data["reason"],
                by=request.user, at=timezone.now(),
            )  # fmt: skip
        except ValidationError as error:
            form.add_error(None, error)
        else:
            are = "is" if len(boards) == 1 else "are"
            which = "Board" if len(boards) == 1 else "Boards"
            messages.success(request, f"{which} {numbers_in_words(boards)} {are} changed.")
            say_what_stayed(request, form)
            for problem in filter(None, map(recheck, boards)):
                messages.warning(request, f"{problem} Choose its blank again before release.")
            return redirect("order", board.order.number)
    return _board_form(
        request, form, order=board.order, board=board, seen=base, also=also, status=422
    )


def _board_form(request, form, *, order, seen, board=None, also=None, status=200):
    if order.cancelled_at or (board and board.cancelled_at):
        raise Http404("cancelled")
    focus_first_error(form)
    context = {
        "form": form, "order": order, "board": board, "seen": seen, "path": request.path,
        "also": also, "unit": order.customer.length_unit,
    }  # fmt: skip
    return render(request, "orders/orderbook/board_form.html", context, status=status)


@allow(COUNTER)
@require_POST
def draw_board(request):
    """The drawing beside the form, of whatever can be read so far. Never an error."""
    board = _changed_board(request.POST)
    start = {"price": board.price_cents} if board else {}
    form = BoardForm(request.POST, instance=board and board.spec, initial=start, today=_today())
    form.is_valid()
    context = {"form": form, "live": True, "unit": unit_typed(request.POST)}
    return render(request, "orders/orderbook/sketch.html", context)


def _changed_board(typed) -> Board | None:
    """The board whose form this is: what stands of it is not asked about again."""
    number = whole_number(typed.get("of_board"))
    return Board.objects.filter(number=number).select_related("spec").first()


@allow(COUNTER)
@require_POST
def fill_board(request):
    """The board's part of the form with the chosen design's numbers filled in."""
    typed = request.POST.dict()
    start = _filled(typed, force="fill" in typed)
    board = _changed_board(typed)
    form = BoardForm(initial=start, instance=board and board.spec, today=_today())
    kept = bool(start.get("design_version")) and start.get("filled_from") != start["design_version"]
    context = {"form": form, "kept": kept, "unit": unit_typed(request.POST)}
    return render(request, "orders/orderbook/board_part.html", context)
