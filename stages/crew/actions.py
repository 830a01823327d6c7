from django.db import transaction

from orders.accounts.backends import forget_user
from orders.accounts.models import User
from stages.crew.models import CrewMember
from stages.crew.queries import forget_skills, hours_changed


@transaction.atomic
def save_person(
    *, user: User, password: str, pin: str, skills, week, away_from, away_until,
    days=(),
) -> CrewMember:
    """A person with sign-in, skills and hours. Empty password or PIN keeps the one there is.
    `days` are the checked formsets of their days off and changed hours."""
    if password:
        user.set_password(password)
    elif not user.password:  # they sign in with their PIN alone
        user.set_unusable_password()
    if pin:
        user.set_pin(pin)
    user.full_clean()
    user.save()
    member, _ = CrewMember.objects.update_or_create(
        user=user,
        defaults={"week": week, "away_from": away_from, "away_until": away_until},
    )
    member.skills.set(skills)
    for formset in days:
        formset.instance = member
        formset.save()
    hours_changed()
    transaction.on_commit(lambda: (forget_user(user.pk), forget_skills(user.pk)))
    return member
