"""Refused forms, mended at the keyboard: each field ends up with what was typed into it, whatever
parts of the page are swapped meanwhile."""

import pytest
from django.urls import reverse
from playwright.sync_api import expect

from orders.models import Design, DesignVersion
from stages.models import Bay, Stage
from tests.browser.conftest import TABLET
from tests.examples import some_often
from tests.world import MONDAY

pytestmark = pytest.mark.django_db(transaction=True)

# The form of a page with the most to type in, and its fields that keys are typed into: of the rows
# of a table the last, which is often the empty one.
FORM = """[...document.querySelectorAll("main form[method=post]")]
  .map((form) => [form, form.querySelectorAll("input:not([type=hidden]), textarea").length])
  .sort(([, one], [, other]) => other - one)[0][0]"""
TYPED = ["text", "search", "email", "tel", "url", "number", "date", "password"]
FIELDS = f"""(() => {{
  const form = {FORM};
  for (const fold of form.querySelectorAll("details")) fold.open = true;
  const fields = [...form.elements]
    .filter((one) => one.id && one.checkVisibility() && !one.disabled && !one.readOnly)
    .filter((one) => one.matches("textarea") || one.matches("input") && {TYPED}.includes(one.type));
  const alike = new Map(fields.map((one) => [one.name.replace(/-\\d+-/, "-"), one]));
  return [...alike.values()].map((one) => [
    one.id, one.type, one.maxLength < 0 ? 99 : one.maxLength,
  ]);
}})()"""
# Nothing in what must be given, and nonsense in all else that takes it.
SPOIL = f"""() => {{
  const form = {FORM};
  for (const [id, type] of {FIELDS}) {{
    const field = document.getElementById(id);
    field.value = field.required || ["date", "number"].includes(type) ? "" : "¤¤";
  }}
  form.noValidate = true;
  form.requestSubmit([...form.elements].filter((one) => one.type === "submit").at(-1));
}}"""
# Something that has nothing to do with the form is fetched and swapped, as parts of pages are.
SWAP = """async () => {
  const swapped = new Promise((done) =>
    document.addEventListener("htmx:after:swap", done, { once: true }));
  htmx.ajax("GET", "/static/img/board.svg", { target: ".top-who span", swap: "innerHTML" });
  await swapped;
}"""
IN_FOCUS = "document.activeElement.id"
PAGES = {
    "new-order": lambda shop: reverse("new-order"),
    "add-board": lambda shop: reverse("add-board", args=[shop.board.order.number]),
    "change-board": lambda shop: reverse("change-board", args=[shop.board.number]),
    "person": lambda shop: reverse("person", args=[shop.bo.pk]),
    "new-person": lambda shop: reverse("new-person"),
    "stage": lambda shop: reverse("stage", args=[Stage.objects.first().pk]),
    "bay-hours": lambda shop: reverse("bay-hours", args=[Bay.objects.first().pk]),
    "factory": lambda shop: reverse("factory"),
    "closed-days": lambda shop: reverse("closed-days"),
    "rider-particulars": lambda shop: reverse("rider-particulars", args=[shop.rider.pk]),
    "new-blank": lambda shop: reverse("new-blank"),
    "new-design": lambda shop: reverse("new-design"),
    "date-rules": lambda shop: reverse("date-rules"),
}


def keys_for(number: int, kind: str, longest: int) -> tuple[str, str]:
    """Keys to press in a field of a kind, and what then stands in it."""
    if kind == "date":
        return "12312027", "2027-12-31"
    if kind == "number":
        return (text := str(10 + number)), text
    if kind == "email":
        return (text := f"someone{number}@example.com"), text
    return (text := f"{number + 5} 7/16"[:longest]), text


# Forms of each make: numbers, a person's week, rows of a table. The other pages in the long form.
OFTEN = {"new-order", "change-board", "person", "stage"}


@pytest.mark.parametrize("name", some_often(PAGES, often=lambda name: name in OFTEN))
def test_a_refused_form_holds_what_is_typed_after_it(shop, device, name):
    shop.board = shop.ordered()
    page = device(TABLET).known("odd").page
    page.goto(PAGES[name](shop))
    with page.expect_navigation() as refused:
        page.evaluate(SPOIL)
    assert refused.value.status == 422
    expected = {}
    fields = page.evaluate(FIELDS)
    assert fields
    for number, (key, kind, longest) in enumerate(fields):
        keys, expected[key] = keys_for(number, kind, longest)
        page.locator(f"#{key}").focus()
        page.keyboard.press("ControlOrMeta+A")
        page.keyboard.press("Delete")
        half = len(keys) // 2
        page.keyboard.type(keys[:half])
        page.evaluate(SWAP)
        page.keyboard.type(keys[half:])
        assert page.evaluate(IN_FOCUS) == key
    page.wait_for_load_state("networkidle")
    stands = {key: page.locator(f"#{key}").input_value() for key in expected}
    assert stands == expected


def test_what_is_typed_while_a_design_fills_the_form_stays(shop, device):
    design = Design.objects.create(name="Tern", board_class="shortboard")
    numbers = shop.spec()
    del numbers["colour"]
    version = DesignVersion.objects.create(design=design, number=1, made_at=MONDAY, **numbers)
    page = device(TABLET).known("cleo").page
    page.goto(reverse("new-order"))
    answers = []
    page.route("**/fill/", lambda route: answers.append(route))
    with page.expect_request("**/fill/"):
        page.locator("#id_design_version").select_option(str(version.pk))
    page.locator("#id_width_nm").focus()
    page.keyboard.type("19")
    answers.pop().continue_()
    expect(page.locator("#id_length_nm")).not_to_have_value("")
    page.keyboard.type(" 3/4")
    assert page.locator("#id_width_nm").input_value() == "19 3/4"
    assert page.evaluate(IN_FOCUS) == "id_width_nm"
