import uuid

from django.core.cache import cache
from django.db import transaction

from stages.crew.models import CrewMember

_SECONDS = 30


def skills_of(user_id: int) -> frozenset[int]:
    """The stages a person is down for; empty when no list was made. Read every 30 s at most."""
    key = f"skills:{user_id}"
    if (skills := cache.get(key)) is None:
        skills = frozenset(
            CrewMember.skills.through.objects.filter(crewmember_id=user_id).values_list(
                "stage_id", flat=True
            )
        )
        cache.set(key, skills, _SECONDS)
    return skills


def forget_skills(user_id: int) -> None:
    cache.delete(f"skills:{user_id}")


def hours_changed() -> None:
    """Skills, hours or closed days are others now: what was worked out from them is old."""
    transaction.on_commit(lambda: cache.set("hours", uuid.uuid4().hex, None))


def hours_mark() -> str:
    """Another one after each change of skills, hours or closed days."""
    return cache.get("hours", "")
