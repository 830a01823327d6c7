"""The door to what is told about the work that was done."""

from django.shortcuts import render
from django.views.decorators.http import require_GET

from orders.accounts.access import MANAGERS, allow
from stages.rooms import room_at


@allow(MANAGERS)
@require_GET
def reports(request):
    room = room_at(request.path, request.user.role)
    return render(request, "stages/reports/reports.html", {"pages": room.pages})
