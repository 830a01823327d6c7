"""What a device kept without signal comes in once, in order, from whoever is proven."""

import json
import uuid
from datetime import timedelta

import pytest
import time_machine
from django.core.cache import cache
from django.db import DatabaseError
from django.test import Client
from django.urls import reverse

from orders.accounts.models import Tablet
from orders.factory.models import Factory
from stages.log.fold import Kind
from stages.log.models import Entry, Position
from stages.outbox.models import Clash
from stages.outbox.passes import pass_for
from stages.scan import actions
from tests.stages.outbox.conftest import code_of, intent, send, words
from tests.world import MONDAY

pytestmark = [pytest.mark.django_db, pytest.mark.postgresql]


@pytest.fixture
def monday():
    with time_machine.travel(MONDAY + timedelta(hours=2), tick=False) as traveller:
        yield traveller


@pytest.fixture
def board(world, monday):
    return world.released()


def kinds(board):
    return list(Entry.objects.filter(board=board).order_by("seq").values_list("kind", flat=True))


def test_what_was_kept_comes_in_in_order_with_the_devices_times(world, board, phone, monday):
    inka = world.inka
    sent = [
        intent(board, "taken", inka, at=MONDAY + timedelta(minutes=10)),
        intent(board, "paused", inka, at=MONDAY + timedelta(minutes=40)),
        intent(board, "taken", inka, at=MONDAY + timedelta(minutes=60)),
        intent(board, "finished", inka, at=MONDAY + timedelta(minutes=90)),
    ]
    verdicts = send(phone, *sent)
    assert [v["ref"] for v in verdicts] == [one["ref"] for one in sent]
    assert words(verdicts) == ["accepted"] * 4
    assert kinds(board) == ["released", "taken", "paused", "taken", "finished"]
    entries = Entry.objects.filter(board=board, seq__gt=1).order_by("seq")
    assert [entry.happened_at.isoformat() for entry in entries] == [
        one["happened_at"] for one in sent
    ]
    assert {(entry.by, entry.device) for entry in entries} == {(inka, "own device")}
    assert Position.objects.get(board=board).folded["steps"][0]["touch_s"] == 60 * 60


def test_an_answer_that_got_lost_leads_to_duplicates_and_nothing_more(world, board, phone):
    sent = [intent(board, "taken", world.inka), intent(board, "paused", world.inka)]
    send(phone, *sent)
    assert words(send(phone, *sent)) == ["duplicate", "duplicate"]
    assert kinds(board) == ["released", "taken", "paused"]


def test_the_forms_own_fields_arrive_as_from_the_page(world, board, phone):
    sent = intent(board, "held", world.inka, fields={"reason": "Crack in the nose", "note": "left"})
    assert words(send(phone, sent)) == ["accepted"]
    assert Entry.objects.get(kind="held").payload == {"reason": "Crack in the nose: left"}


def test_a_reason_to_go_on_all_the_same_arrives_too(world, board, phone, monday):
    world.worked(board, until="Plug")
    position = Position.objects.get(board=board)
    world.log(board, Kind.HELD, world.sela, MONDAY, payload={"reason": "no plugs"})
    world.log(board, Kind.LET_GO, world.sela, MONDAY)
    sent = intent(board, "taken", world.sela, fields={"why-resting": "warm today"})
    assert position.stage.name == "Plug"
    assert words(send(phone, sent)) == ["accepted"]


def test_another_persons_entry_with_the_same_id_is_not_silently_taken(world, board, phone):
    first = intent(board, "taken", world.inka)
    forged = {**first, "who": world.mara.pk, "pass": pass_for(world.mara)}
    send(phone, first)
    (verdict,) = send(phone, forged)
    assert (verdict["verdict"], verdict["code"]) == ("refused", "ref_taken")


def test_another_boards_entry_with_the_same_id_is_not_silently_taken(world, board, phone):
    other = world.released()
    first = intent(board, "taken", world.inka)
    send(phone, first)
    (verdict,) = send(phone, {**first, "ticket": code_of(other)})
    assert (verdict["verdict"], verdict["code"]) == ("refused", "ref_taken")
    assert kinds(other) == ["released"]


def test_the_same_id_for_another_deed_is_not_silently_taken(world, board, phone):
    first = intent(board, "taken", world.inka)
    send(phone, first)
    assert words(send(phone, {**first, "kind": "paused"})) == ["refused"]


@pytest.mark.parametrize(
    "spoil",
    [
        {"ref": "no id"},
        {"ref": None},
        {"kind": "released"},
        {"kind": "flown"},
        {"who": "Inka"},
        {"who": True},
        {"fields": [["one"]]},
        {"fields": [["note", 7]]},
        {"fields": 7},
        {"ticket": "ZZZZZZZ"},
        {"ticket": None},
        {"ticket": "\x00"},
        {"device": "\ud800"},
        {"step": {"a": []}},
        {"fields": [["note", "a\x00b"]]},
        {"fields": [["note", "\ud800"]]},
        {"fields": [["\udfff", "a"]]},
    ],
    ids=str,
)
def test_what_cannot_be_read_is_refused_and_the_next_goes_on(world, board, phone, spoil):
    bad, good = {**intent(board, "taken", world.inka), **spoil}, intent(board, "taken", world.inka)
    verdicts = send(phone, bad, good)
    assert words(verdicts) == ["refused", "accepted"]
    assert verdicts[0]["ref"] == bad["ref"]
    assert verdicts[0]["sentence"]


@pytest.mark.parametrize(
    ("said", "off"),
    [
        ("0001-01-01T00:00:00+00:00", 0),
        ("0001-01-01T00:00:00+14:00", -(10**13)),
        ("0001-01-01T00:00:00+00:00", None),
        ("9999-12-31T23:59:59-14:00", 10**30),
        ("1970-01-01T00:00:00+00:00", 9),
    ],
)
def test_a_clock_at_the_end_of_the_calendar_empties_the_outbox_all_the_same(
    world, board, phone, monday, signed_in, said, off
):
    sent = intent(board, "taken", world.inka, at=said, clock_off_ms=off)
    assert words(send(phone, sent)) == ["accepted"]
    entry = Entry.objects.get(kind="taken")
    assert entry.happened_at == MONDAY + timedelta(hours=2)
    assert entry.payload["clock"]["unusable"]
    assert words(send(phone, intent(board, "paused", world.inka))) == ["accepted"]
    for zone in ("America/Los_Angeles", "Pacific/Auckland"):
        Factory.objects.update(time_zone=zone)
        cache.clear()
        page = signed_in(world.mara).get(reverse("board", args=[board.number]))
        assert "The clock of the device said" in page.content.decode()


def test_one_entry_that_meets_a_fault_holds_up_its_own_board_and_no_other(
    world, board, phone, monkeypatch
):
    """The rest of the outbox is taken, whatever is wrong with that one."""
    other, real = world.released(), actions.record

    def broken(**asked):
        if asked["board"].pk == board.pk:
            raise ArithmeticError
        return real(**asked)

    monkeypatch.setattr(actions, "record", broken)
    sent = [
        intent(board, "taken", world.inka),
        intent(board, "paused", world.inka),
        intent(other, "taken", world.inka),
    ]
    assert words(send(phone, *sent)) == ["retry", "retry", "accepted"]


def test_a_batch_too_large_says_to_send_fewer(world, board, phone, settings):
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 5000
    sent = intent(board, "held", world.inka, fields={"reason": "x" * 6000})
    assert send(phone, sent).status_code == 413


def test_a_pass_that_is_no_text_is_no_pass(world, board, phone):
    sent = intent(board, "taken", world.inka, **{"pass": "\ud800"})
    assert send(phone, sent).status_code == 401


def test_an_id_that_is_no_text_is_told_of_without_it(world, board, phone):
    (verdict,) = send(phone, {**intent(board, "taken", world.inka), "ref": [["\ud800"]]})
    assert (verdict["verdict"], verdict["ref"]) == ("refused", None)


_DEEP = "[" * 100_000


@pytest.mark.parametrize(
    "body",
    ["", "[]", "{}", '{"entries": 3}', "{", '"entries"', _DEEP, f'{{"entries": {_DEEP}',
     '{"entries": NaN}', b"\xff"],
    ids=lambda body: str(body)[:20],
)
def test_what_is_no_batch_at_all_is_said_to_be_none(world, phone, body):
    answer = phone.post(reverse("batch"), body, content_type="application/json")
    assert answer.status_code == 400


def test_at_most_fifty_are_taken_and_the_rest_get_no_verdict(world, board, phone):
    sent = [
        intent(board, "taken" if turn % 2 == 0 else "paused", world.inka) for turn in range(53)
    ]
    assert len(send(phone, *sent)) == 50
    assert words(send(phone, *sent[50:])) == ["accepted"] * 3


# Who it was


def test_nobody_signed_in_and_no_pass_is_401(world, board, phone):
    assert send(phone, intent(board, "taken", world.inka, **{"pass": None})).status_code == 401
    assert kinds(board) == ["released"]


def test_who_is_signed_in_needs_no_pass(world, board, signed_in):
    sent = intent(board, "taken", world.inka, **{"pass": None})
    assert words(send(signed_in(world.inka), sent)) == ["accepted"]


def test_the_next_person_sends_what_the_one_before_left_on_the_tablet(world, board, signed_in):
    assert words(send(signed_in(world.bo), intent(board, "taken", world.inka))) == ["accepted"]
    assert Entry.objects.get(kind="taken").by == world.inka


def test_without_a_pass_nobody_logs_for_somebody_else(world, board, signed_in):
    sent = intent(board, "taken", world.inka, **{"pass": None})
    (verdict,) = send(signed_in(world.bo), sent)
    assert verdict["verdict"] == "sign_in"
    assert kinds(board) == ["released"]


def test_a_pass_is_of_one_person(world, board, phone):
    sent = intent(board, "taken", world.inka, **{"pass": pass_for(world.mara)})
    assert words(send(phone, sent)) == ["sign_in"]


def test_a_pass_written_by_hand_is_none(world, board, phone):
    forged = pass_for(world.inka)[:-2] + "xx"
    assert send(phone, intent(board, "taken", world.inka, **{"pass": forged})).status_code == 401


def test_a_pass_holds_seven_days(world, board, phone, monday):
    sent = intent(board, "taken", world.inka)
    monday.shift(timedelta(days=7, seconds=5))
    assert send(phone, sent).status_code == 401


def test_after_eight_days_without_signal_signing_in_is_enough(world, board, signed_in, monday):
    sent = intent(board, "taken", world.inka)
    monday.shift(timedelta(days=8))
    assert words(send(signed_in(world.inka), sent)) == ["accepted"]


@pytest.mark.parametrize("change", ["pin", "password", "inactive", "role"])
def test_a_changed_pin_or_password_and_a_closed_sign_in_end_a_pass(world, board, phone, change):
    sent, inka = intent(board, "taken", world.inka), world.inka
    match change:
        case "pin":
            inka.set_pin("9999")
        case "password":
            inka.set_password("resin and foam")
        case "inactive":
            inka.is_active = False
        case "role":
            inka.role = "counter"
    inka.save()
    assert send(phone, sent).status_code == 401


def test_the_counter_gets_no_pass_and_logs_nothing(world, board, signed_in):
    assert pass_for(world.cleo) is None
    sent = intent(board, "taken", world.cleo)
    assert send(signed_in(world.cleo), sent).status_code == 401


def test_a_later_entry_on_the_board_waits_for_who_must_sign_in(world, board, phone):
    other = world.released()
    verdicts = send(
        phone,
        intent(board, "taken", world.inka, **{"pass": None}),
        intent(board, "held", world.mara, fields={"reason": "ding"}),
        intent(other, "taken", world.mara),
    )
    assert words(verdicts) == ["sign_in", "retry", "accepted"]
    assert kinds(board) == ["released"]


def test_a_name_chosen_without_a_pin_counts_on_a_tablet_only_and_is_marked(
    world, board, phone, tablet, signed_in
):
    sent = intent(board, "taken", world.inka, fields={"unproved": "1"})
    assert words(send(phone, sent)) == ["sign_in"]
    assert words(send(signed_in(world.bo), sent)) == ["sign_in"]
    assert words(send(tablet, {**sent, "pass": None}, intent(board, "held", world.mara))) == [
        "sign_in",
        "retry",
    ]
    assert words(send(tablet, sent)) == ["accepted"]
    assert Entry.objects.get(kind="taken").payload == {"unproved": True}


def test_a_retired_tablet_brings_no_name_without_a_pin(world, board, tablet):
    Tablet.objects.update(retired_at=MONDAY)
    sent = intent(board, "taken", world.inka, fields={"unproved": "1"})
    assert words(send(tablet, sent)) == ["sign_in"]


def test_who_has_signed_in_since_sends_what_was_logged_without_a_pin(world, board, signed_in):
    sent = intent(board, "taken", world.inka, fields={"unproved": "1"})
    assert words(send(signed_in(world.inka), sent)) == ["accepted"]
    assert Entry.objects.get(kind="taken").payload == {"unproved": True}


def test_the_token_of_the_page_is_asked_for(world, board):
    strict = Client(enforce_csrf_checks=True)
    sent = json.dumps({"entries": [intent(board, "taken", world.inka)]})
    kwargs = {"content_type": "application/json"}
    assert strict.post(reverse("batch"), sent, **kwargs).status_code == 403
    token = strict.get(reverse("hello")).json()["csrf"]
    answer = strict.post(reverse("batch"), sent, headers={"x-csrftoken": token}, **kwargs)
    assert answer.status_code == 200


# When the server fails


def failing_once(monkeypatch, error):
    real, failed = actions.record, []

    def record(**kwargs):
        if not failed:
            failed.append(kwargs["ref"])
            raise error
        return real(**kwargs)

    monkeypatch.setattr(actions, "record", record)


@pytest.mark.parametrize("error", [DatabaseError("disk full"), RuntimeError("a fault of ours")])
def test_a_failure_keeps_the_devices_order_and_loses_nothing(
    world, board, phone, monkeypatch, error
):
    failing_once(monkeypatch, error)
    sent = [intent(board, "taken", world.inka), intent(board, "paused", world.inka)]
    other = intent(world.released(), "taken", world.mara, device="tablet")
    verdicts = send(phone, *sent, other)
    assert words(verdicts) == ["retry", "retry", "accepted"]
    assert kinds(board) == ["released"]
    assert words(send(phone, *sent, other)) == ["accepted", "accepted", "duplicate"]


def test_a_clash_and_a_refusal_do_not_hold_up_the_rest(world, board, phone):
    other = world.released()
    world.log(board, Kind.TAKEN, world.mara, MONDAY)
    unreadable = {**intent(other, "taken", world.inka), "kind": "flown"}
    verdicts = send(
        phone,
        intent(board, "taken", world.inka),
        unreadable,
        intent(other, "taken", world.inka),
    )
    assert words(verdicts) == ["clash", "refused", "accepted"]
    assert "Mara has this board in hand" in verdicts[0]["sentence"]


def test_a_clash_is_kept_once_and_told_again(world, board, phone):
    world.log(board, Kind.TAKEN, world.mara, MONDAY)
    sent = intent(board, "taken", world.inka)
    first, second = send(phone, sent), send(phone, sent)
    assert first == second
    clash = Clash.objects.get()
    assert (clash.by, clash.code, clash.against.by) == (world.inka, "in_hand", world.mara)
    assert str(clash.ref) == sent["ref"]


def test_a_clash_with_a_ref_of_somebody_elses_clash_is_refused(world, board, phone):
    world.log(board, Kind.TAKEN, world.mara, MONDAY)
    sent = intent(board, "taken", world.inka)
    send(phone, sent)
    forged = {**sent, "who": world.odd.pk, "pass": pass_for(world.odd)}
    assert words(send(phone, forged)) == ["refused"]


def test_an_unknown_person_is_asked_to_sign_in(world, board, signed_in):
    sent = {**intent(board, "taken", world.inka), "who": 99_999, "pass": None}
    assert words(send(signed_in(world.bo), sent)) == ["sign_in"]
    assert not Entry.objects.filter(ref=uuid.UUID(sent["ref"])).exists()
