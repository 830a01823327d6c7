from django.db import transaction

from orders.accounts.backends import forget_user
from orders.accounts.models import User
from stages.crew.models import CrewMember
from stages.crew.queries import forget_skills


@transaction.atomic
def save_person(
    *, user: User, password: str, pin: str, skills, week, away_from, away_until
) -> CrewMember:
    """A person with sign-in, skills and hours. Empty password or PIN keeps the one there is."""
    if password:
        user.set_password(password)
    if pin:
        user.set_pin(pin)
    user.full_clean()
    user.save()
    member, _ = CrewMember.objects.update_or_create(
        user=user,
        defaults={"week": week, "away_from": away_from, "away_until": away_until},
    )
    member.skills.set(skills)
    transaction.on_commit(lambda: (forget_user(user.pk), forget_skills(user.pk)))
    return member
