"""The people of the factory, kept by the manager."""

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods

from orders.accounts.access import MANAGERS, allow
from orders.accounts.models import Role, User
from stages.crew.actions import save_person
from stages.crew.forms import PersonForm
from stages.crew.models import CrewMember


@allow(MANAGERS)
@require_GET
def crew(request):
    people = User.objects.select_related("crew_member").prefetch_related("crew_member__skills")
    return render(request, "stages/crew/crew.html", {"people": people.order_by("name")})


@allow(MANAGERS)
@sensitive_post_parameters("password", "new_pin")
@require_http_methods(["GET", "POST"])
def person(request, pk=None):
    user = get_object_or_404(User, pk=pk) if pk else User()
    member = CrewMember.objects.filter(user=user).first() if pk else None
    was_owner = user.role == Role.OWNER
    form = PersonForm(request.POST or None, instance=user, member=member)
    if request.method == "POST" and form.is_valid():
        if request.user.role != Role.OWNER and (was_owner or user.role == Role.OWNER):
            form.add_error("role", "Only an owner changes who is an owner.")
        elif user.pk == request.user.pk and not user.is_active:
            form.add_error("is_active", "You cannot shut yourself out.")
        else:
            data = form.cleaned_data
            save_person(
                user=user,
                password=data["password"],
                pin=data["new_pin"],
                skills=data["skills"],
                week=form.week(),
                away_from=data["away_from"],
                away_until=data["away_until"],
            )
            messages.success(request, f"{user.name} is saved.")
            return redirect("crew")
    status = 422 if form.is_bound else 200
    context = {"form": form, "person": user if pk else None}
    return render(request, "stages/crew/person.html", context, status=status)
