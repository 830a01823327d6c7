"""Any two boards or designs laid beside one another, at the counter and in the bay."""

import re

import pytest
from django.urls import reverse

from orders.compare.sides import SideError, find_side
from orders.designs.actions import add_design, add_version
from orders.orderbook.actions import BoardAsked, change_board
from orders.shape.units import parse_length
from tests.world import MONDAY

pytestmark = pytest.mark.django_db


def changed(world, board, **changes):
    values = {**world.spec(), **changes}
    return change_board(
        board=board, asked=BoardAsked(spec=values), reason="wider", by=world.cleo, at=MONDAY
    )


def design(world, name, **changes):
    numbers = {key: value for key, value in world.spec().items() if key != "colour"}
    return add_design(
        name=name,
        board_class="fish",
        note="",
        base_price_cents=70_000,
        numbers={**numbers, **changes},
        at=MONDAY,
    )


def page(client, a, b, **more):
    return client.get(reverse("compare"), {"a": a, "b": b, **more})


def text_of(answer) -> str:
    words = re.sub(r"<[^>]+>", " ", answer.content.decode())
    return " ".join(words.replace("&quot;", '"').replace("&#x27;", "'").split())


def test_a_wider_revision_reads_as_so_much_more_width_area_and_volume(counter, world):
    board = world.ordered()
    first = board.spec
    second = changed(world, board, width_nm=parse_length("19 3/4"), tail_shape="swallow")
    answer = page(counter, f"spec:{first.pk}", f"spec:{second.pk}")
    lines = {line.name: line.figures for line in answer.context["tables"].whole}
    (width,) = lines["Width"]
    assert (width.before, width.after, width.change) == ('19 1/2"', '19 3/4"', '+1/4"')
    assert lines["Thickness"][0].same
    assert lines["Volume, as modelled"][0].change.endswith(" L")
    said = [(c.label, c.before, c.after) for c in answer.context["changes"]]
    assert said == [("Width", '19 1/2"', '19 3/4"'), ("Tail shape", "Squash", "Swallow")]
    assert f"Board {board.number} rev 1" in text_of(answer)


def test_the_changes_shown_are_between_the_figures_shown(counter, world):
    first, second = design(world, "Skerry"), design(world, "Puffin", length_nm=parse_length("5'8"))
    answer = page(counter, f"version:{first.pk}", f"version:{second.pk}", align="centre")

    def read(words):
        sign = -1 if words.startswith("−") else 1
        return sign * parse_length(words.strip("+−")) if words.strip('0"') else 0

    seen = 0
    for line in answer.context["tables"].stations:
        for figure in line.figures:
            if figure.change:
                assert read(figure.after) - read(figure.before) == read(figure.change)
                seen += 1
    assert seen > 5


def test_a_factory_in_millimetres_reads_millimetres(counter, world):
    from orders.factory.models import Factory

    factory = Factory.current()
    factory.length_unit = "mm"
    factory.save()
    first, second = design(world, "Skerry"), design(world, "Puffin", width_nm=505_000_000)
    answer = page(counter, f"version:{first.pk}", f"version:{second.pk}")
    lines = {line.name: line.figures[0] for line in answer.context["tables"].whole}
    assert lines["Width"].change == "+9.7 mm"
    assert lines["Area from above"].after.endswith("cm²")


def test_a_spec_and_a_design_can_be_laid_beside_one_another(counter, world):
    version = design(world, "Skerry", fin_setup="four_fin")
    board = world.ordered()
    answer = page(counter, str(board.number), "skerry")
    assert [side.spec for side in answer.context["sides"]] == [board.spec, version]
    assert [c.label for c in answer.context["changes"]] == ["Fins"]


def test_a_board_is_found_by_number_and_a_design_by_what_it_is_called(world):
    board = world.ordered()
    first = board.spec
    second = changed(world, board, width_nm=parse_length("20"))
    skerry = design(world, "Skerry")
    newer = add_version(
        design=skerry.design, numbers={**_numbers(skerry), "rail": "full"}, at=MONDAY
    )
    design(world, "Skerry Long")
    found = {
        f"{board.number}": second,
        f"board {board.number} rev 1": first,
        f"#{board.number}/1": first,
        "SKERRY": newer,
        "Skerry v1": skerry,
    }
    for text, spec in found.items():
        side = find_side(text)
        assert side.spec == spec, text
        assert find_side(side.name).spec == find_side(side.key).spec == spec


def _numbers(version) -> dict:
    from orders.specs.models import NUMBER_FIELDS

    return {name: getattr(version, name) for name in NUMBER_FIELDS}


@pytest.mark.parametrize("text", ["9", "spec:999999", "version:7", "no such", "'); --", "9" * 30])
def test_what_is_not_there_is_said_in_words(world, text):
    with pytest.raises(SideError, match="board number"):
        find_side(text)


def test_several_designs_of_a_name_are_listed(world):
    design(world, "Long Skerry")
    design(world, "Short Skerry")
    with pytest.raises(SideError, match="Long Skerry, Short Skerry"):
        find_side("skerry")


def test_a_slip_is_answered_beside_its_field_with_what_was_typed(counter, world):
    board = world.ordered()
    answer = page(counter, "<b>fishh", str(board.number))
    shown = answer.content.decode()
    assert answer.status_code == 200
    assert 'value="&lt;b&gt;fishh"' in shown
    assert "No board or design is called &lt;b&gt;fishh" in shown
    assert f'value="Board {board.number} rev 1"' in shown


def test_the_bay_may_look_too_and_the_alignment_is_one_of_three(client, world):
    client.force_login(world.inka, backend="orders.accounts.backends.PasswordBackend")
    board = world.ordered()
    answer = page(client, str(board.number), str(board.number), align="sideways")
    assert answer.context["align"] == "tail"
    assert "Every number and choice is the same." in text_of(answer)
    assert not any(figure.change for line in answer.context["tables"].stations
                   for figure in line.figures)
