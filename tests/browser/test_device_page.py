"""What a device shows by itself of a board: the words of the server's page, the card of the very
step, and never a form taken from under the hands of somebody who types."""

import re
import uuid
from datetime import date, timedelta
from html import unescape

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from orders.templatetags.trade import day as in_short
from stages.log.fold import Kind
from stages.log.models import Position
from tests.browser.conftest import PHONE

pytestmark = pytest.mark.django_db(transaction=True)
BACKEND = "orders.accounts.backends.PasswordBackend"

# Keeps the pages, puts the one of `code` on the screen and draws it as after `taps`.
DRAWN = """
async ({ codes, code, taps, go }) => {
  const [boards, keeper, parts, who] = await Promise.all(
    ["board", "keeper", "parts", "who"].map((name) => import(`/static/js/scan/${name}.js`)),
  );
  const me = (await who.hello()).who;
  let page = null;
  for (const one of codes) {
    const kept = await keeper.keepPage(`/T/${one}`);
    if (one === code) page = kept;
  }
  document.body.replaceChildren(...document.importNode(page.body, true).childNodes);
  const kept = parts.keptParts(document);
  window.draw = async (made, go = false) => {
    const waiting = made.map((tap) => ({
      ...{ ref: crypto.randomUUID(), ticket: code, who: me.id, who_name: me.name, clock_off_ms: 0 },
      ...tap,
    }));
    const position = boards.positionFrom(kept.board, { off: 0, sent: [], waiting, last: null });
    const offer = await boards.offerHere(kept.board, me, position, { go });
    parts.redraw(kept, position, offer, { name: "" });
    const text = (name) => {
      const copy = parts.slot(name).cloneNode(true);
      for (const age of copy.querySelectorAll("time")) age.remove();
      for (const block of copy.querySelectorAll("p, li, tr, th, caption")) block.append(" ");
      return copy.textContent.replace(/\\s+/g, " ").trim();
    };
    return {
      state: text("state"), card: text("card"), mixing: text("mixing"), rework: text("rework"),
      then: document.querySelector("[data-then]:not([hidden])")?.innerText ?? "",
      mix: document.querySelector("[data-mix]")?.dataset.step ?? null,
      names: [...document.querySelectorAll("[data-slot=offer] [name]")].map((one) => one.name),
      links: [...parts.slot("state").querySelectorAll("a")].map((one) => one.pathname),
    };
  };
  return window.draw(taps, go);
}
"""


def code_of(board):
    return board.tickets.get(voided_at=None).code


def tap(kind, at, step, **fields):
    told = [[name, str(value)] for name, value in fields.items()]
    return {"kind": kind, "happened_at": at.isoformat(), "step": step, "fields": told}


def words_in(html, slot, until):
    """The text of a slot of the server's page; an age is of the moment it is read."""
    part = html[html.index(f'data-slot="{slot}"') : html.index(until)]
    part = re.sub(r"<time[^>]*></time>", "", part.split(">", 1)[1])
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", part)).split())


class Bench:
    """One person's phone, and the server's page for the same person."""

    def __init__(self, device, person):
        self.page = device(PHONE).known(person.username).page
        self.client = Client()
        self.client.force_login(person, backend=BACKEND)

    def by_device(self, board, *taps, beside=(), go=False):
        self.page.goto("/sign-in/")
        codes = [code_of(one) for one in (board, *beside)]
        asked = {"codes": codes, "code": codes[0], "taps": list(taps), "go": go}
        return self.page.evaluate(DRAWN, asked)

    def by_server(self, board, **query):
        return self.client.get(reverse("ticket", args=[code_of(board)]), query).content.decode()

    def post(self, board, kind, at, **fields):
        ref = str(uuid.uuid4())
        data = {"ticket": code_of(board), "ref": ref, "kind": kind, "happened_at": at.isoformat()}
        step = Position.objects.get(board=board).folded["index"]
        answer = self.client.post(reverse("log"), {**data, "step": step, **fields})
        assert answer.status_code == 303
        return ref

    def check_words(self, board, *, beside=(), logged=""):
        shown = self.by_device(board, beside=beside, go=bool(logged))
        html = self.by_server(board, **({"logged": logged} if logged else {}))
        assert shown["state"] == words_in(html, "state", '<ul class="odd" data-slot="rework"')
        assert shown["rework"] == words_in(html, "rework", '<div data-slot="card"')
        assert shown["links"] == re.findall(r'<a class="button big" href="(/T/[^"]+)">Put', html)
        return shown


@pytest.fixture
def bench(device):
    return lambda person: Bench(device, person)


@pytest.fixture
def at_sanding(shop):
    board = shop.released(box_kind="two_plug")
    shop.worked(board, until="Sanding")
    return board


def test_a_board_is_told_of_as_on_the_servers_page(shop, bench, at_sanding):
    sanding = shop.stages["Sanding"]
    sanding.one_at_a_time = True
    sanding.save()
    now = timezone.now()
    sela, mara = bench(shop.sela), bench(shop.mara)
    shop.log(at_sanding, Kind.TAKEN, shop.sela, now - timedelta(minutes=90))
    for one in (sela, mara):
        one.check_words(at_sanding)  # in hand, one's own and another's
    joined = mara.post(at_sanding, "joined", now - timedelta(minutes=50))
    shown = mara.check_words(at_sanding, logged=joined)
    assert shown["state"].count("Sela") == 1 and "not you" not in shown["state"]
    sela.check_words(at_sanding)
    left = mara.post(at_sanding, "left", now - timedelta(minutes=45))
    assert "not you" not in mara.check_words(at_sanding, logged=left)["state"]
    shop.log(at_sanding, Kind.PAUSED, shop.sela, now - timedelta(minutes=40))
    assert "Put down by Sela" in mara.check_words(at_sanding)["state"]
    shop.log(at_sanding, Kind.HELD, shop.sela, now, payload={"reason": "damaged: nose"})
    shown = mara.check_words(at_sanding)
    assert "Sela" in shown["state"] and {"word", "word-more"} <= set(shown["names"])
    shop.log(at_sanding, Kind.LET_GO, shop.mara, now, payload={"word": "mended"})
    back = {"to": Position.objects.get(board=at_sanding).folded["index"] - 1, "defect": "pinholes"}
    shop.log(at_sanding, Kind.TAKEN, shop.sela, now)
    shop.log(at_sanding, Kind.SENT_BACK, shop.sela, now, payload={**back, "note": "on the deck"})
    assert "pinholes. on the deck" in mara.check_words(at_sanding)["rework"]
    first, second = shop.released(), shop.released()
    for board in (first, second):
        shop.worked(board, until="Sanding")
    shop.log(first, Kind.TAKEN, shop.sela, now)
    shown = bench(shop.sela).check_words(second, beside=[first])
    assert shown["links"] == [f"/T/{code_of(first)}"]


def test_the_card_is_of_the_step_itself_whatever_came_or_went_before_it(
    shop, bench, at_sanding
):
    now, index = timezone.now(), Position.objects.get(board=at_sanding).folded["index"]
    steps = [step["name"] for step in Position.objects.get(board=at_sanding).folded["steps"]]
    glassing = steps.index("Glassing")
    mara = bench(shop.mara)
    back = [
        tap("taken", now, index),
        tap("sent_back", now, index, to=glassing, defect="pinholes", note="deck"),
    ]
    shown = mara.by_device(at_sanding, *back)
    assert shown["card"].startswith("The numbers for Glassing are not on this device")
    assert shown["mix"] is None and "Mara" in shown["rework"]
    again = [
        tap(kind, now + timedelta(days=step), step)  # each coat is hard by then
        for step in range(index + 1, 2 * index - glassing + 1)
        for kind in ("taken", "finished")
    ]
    shown = mara.by_device(at_sanding, *back, *again)
    assert shown["card"].startswith("Sanding") and shown["then"].startswith("Then Plug")
    wet = shop.released()
    shop.worked(wet, until="Glassing")
    at = Position.objects.get(board=wet).folded["index"]
    ahead = [tap("taken", now, at, ahead=at + 1, **{"why-out_of_order": "the resin is late"})]
    shown = mara.by_device(wet, *ahead)
    assert shown["card"].startswith("Sanding") and shown["then"].startswith("Then Glassing")
    assert shown["mix"] is None
    after = [*ahead, tap("finished", now, at), tap("taken", now, at + 1)]
    shown = mara.by_device(wet, *after)
    assert shown["card"].startswith("Glassing") and shown["mix"] == str(at + 1)


TYPED = """
async (taps) => {
  for (const fold of document.querySelectorAll("details.wrong, .wrong details")) fold.open = true;
  const note = document.querySelector("#more");
  document.querySelector("[name=reason][value=damaged]").checked = true;
  note.value = "the stringer is split";
  document.querySelector("#where").value = "sand it again";
  note.focus();
  note.setSelectionRange(4, 12);
  const top = note.getBoundingClientRect().top;
  await window.draw(taps);
  const { id, selectionStart, selectionEnd, value } = document.activeElement;
  return {
    ...{ id, selectionStart, selectionEnd, value, fresh: document.activeElement !== note },
    moved: Math.abs(document.activeElement.getBoundingClientRect().top - top) > 1,
    where: document.querySelector("#where")?.value,
    reason: document.querySelector("[name=reason]:checked")?.value,
  };
}
"""


def test_a_redraw_leaves_what_is_typed_chosen_and_looked_at(shop, bench, at_sanding):
    now, index = timezone.now(), Position.objects.get(board=at_sanding).folded["index"]
    mara = bench(shop.mara)
    mara.by_device(at_sanding)
    assert mara.page.evaluate(TYPED, [tap("taken", now, index)]) == {
        **{"id": "more", "value": "the stringer is split", "selectionStart": 4},
        **{"selectionEnd": 12, "fresh": True, "moved": False},
        **{"where": "sand it again", "reason": "damaged"},
    }


DAYS = """async (days) => {
  const { clockOf } = await import("/static/js/scan/words.js");
  return days.map((day) => clockOf("UTC").day(Date.parse(day)));
}"""


def test_days_are_written_as_by_the_server(shop, bench):
    page = bench(shop.inka).page
    page.goto("/sign-in/")
    year = timezone.localdate().year
    days = [date(year + off, month, 9) for off in (0, 1) for month in range(1, 13)]
    assert page.evaluate(DAYS, [day.isoformat() for day in days]) == [in_short(day) for day in days]
