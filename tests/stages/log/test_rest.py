"""How long a coat rests, by its resin and its bay; and that the log keeps it and says why."""

from datetime import timedelta

import pytest

from stages.log.fold import Kind, Refused
from stages.log.models import Entry, Position, Visit
from stages.log.rest import rest_of
from stages.routes.models import Stage
from tests.world import MONDAY

HOUR = 3600


@pytest.mark.parametrize(
    ("celsius", "hours"),
    [
        # 2 h at 70 F, 1 h at 88 F, 1/2 h at 106 F: Epoxy board cure time,
        # forum.swaylocks.com/t/41934; read from the warm end to the cold one.
        (41.1, 0.5),
        (31.1, 1),
        (21.1, 2),
    ],
)
def test_a_colder_bay_rests_longer_as_published(celsius, hours):
    rest = rest_of(HOUR // 2, set_at_c=41.1, celsius=celsius, resin="epoxy")
    assert rest.seconds == pytest.approx(hours * HOUR, rel=0.001)


def test_a_warmer_bay_never_shortens_the_factorys_hours_unless_it_says_so():
    warm = rest_of(16 * HOUR, set_at_c=20, celsius=30, resin="polyester")
    assert warm.seconds == 16 * HOUR
    assert warm.why == "polyester at 30 C: 16 h set for 20 C"
    less = rest_of(16 * HOUR, set_at_c=20, celsius=30, resin="polyester", shortens=True)
    # By the slower halving: between half of it and all of it.
    assert 8 * HOUR < less.seconds < 16 * HOUR


def test_cold_polyester_says_that_it_may_never_cure():
    cold = rest_of(4 * HOUR, set_at_c=20, celsius=10, resin="polyester")
    assert cold.why == (
        "polyester at 10 C: 8 h instead of 4 h set for 20 C, "
        "and it may not cure below 15 C: warm the bay"
    )
    assert "warm" not in rest_of(4 * HOUR, set_at_c=20, celsius=10, resin="epoxy").why


def test_the_rule_is_not_trusted_without_end():
    assert rest_of(HOUR, set_at_c=20, celsius=-60, resin="epoxy").seconds == 4 * HOUR


def glassed(world, board, *, celsius=None):
    """Glassing taken, mixed for at so many degrees, and finished an hour later."""
    at = world.worked(board, until="Glassing") + timedelta(hours=2)
    world.log(board, Kind.TAKEN, world.bo, at)
    if celsius is not None:
        payload = {"pot": "p", "temperature_c": celsius}
        world.log(board, Kind.MIXED, world.bo, at + timedelta(minutes=5), payload=payload)
    done = at + timedelta(hours=1)
    return world.log(board, Kind.FINISHED, world.bo, done), done


@pytest.mark.django_db
def test_the_coat_rests_by_the_temperature_its_mix_was_logged_with(world):
    board = world.released(resin="epoxy")
    entry, done = glassed(world, board, celsius=15)
    seconds = round(16 * HOUR * 2**0.5)
    assert entry.payload["rest_s"] == seconds
    assert entry.payload["rest_why"] == "epoxy at 15 C: 22 h 38 min instead of 16 h set for 20 C"
    position = Position.objects.get(board=board)
    assert position.rests_until == done + timedelta(seconds=seconds)
    visit = Visit.objects.get(board=board, stage__name="Glassing")
    assert visit.rest_until == position.rests_until
    with pytest.raises(Refused, match=r"after Glassing \(epoxy at 15 C: 22 h 38 min instead of"):
        world.log(board, Kind.TAKEN, world.mara, done + timedelta(hours=20))
    world.log(board, Kind.TAKEN, world.mara, done + timedelta(hours=23))


@pytest.mark.django_db
def test_without_a_temperature_of_its_own_the_bays_last_one_counts_and_not_an_old_one(world):
    first = world.released(resin="epoxy")
    glassed(world, first, celsius=15)
    second = world.released(resin="polyester")
    entry, done = glassed(world, second)
    assert entry.payload["rest_why"].startswith("polyester at 15 C")
    later = done + timedelta(days=1)
    third = world.released(at=later)
    at = world.worked(third, until="Glassing", start=later) + timedelta(hours=2)
    world.log(third, Kind.TAKEN, world.bo, at)
    entry = world.log(third, Kind.FINISHED, world.bo, at + timedelta(hours=1))
    assert "rest_s" not in entry.payload
    assert Position.objects.get(board=third).rests_until == at + timedelta(hours=17)


@pytest.mark.django_db
def test_where_the_factory_lets_warm_coats_rest_shorter_they_do(world):
    Stage.objects.filter(name="Glassing").update(rest_shortens=True, rest_celsius=18)
    board = world.released(resin="epoxy", at=MONDAY)
    entry, _ = glassed(world, board, celsius=30)
    assert entry.payload["rest_s"] == 8 * HOUR
    assert Entry.objects.get(pk=entry.pk).payload["rest_why"].startswith("epoxy at 30 C: 8 h inst")
