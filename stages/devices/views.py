"""The devices of the bays: which tablet stands where, and how a phone is connected."""

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from config.authority import authority_path
from config.door import CONTENT_TYPE
from orders.accounts.access import COUNTER, MANAGERS, allow, public
from stages.devices.actions import place_tablet
from stages.devices.connect import way_in
from stages.devices.forms import PlaceForm
from stages.devices.queries import tablets_and_bays


@allow(MANAGERS)
@require_GET
def devices(request):
    forms = [PlaceForm(tablet=tablet) for tablet in tablets_and_bays()]
    return render(request, "stages/devices/devices.html", {"forms": forms})


@allow(MANAGERS)
@require_POST
def place(request, pk):
    tablet = get_object_or_404(tablets_and_bays(), pk=pk)
    form = PlaceForm(request.POST, tablet=tablet)
    if not form.is_valid():
        others = [PlaceForm(tablet=one) for one in tablets_and_bays() if one.pk != pk]
        return render(
            request, "stages/devices/devices.html", {"forms": [form, *others]}, status=422
        )
    bay = form.cleaned_data["bay"]
    place_tablet(tablet=tablet, bay=bay, by=request.user, at=timezone.now())
    where = f"stands in {bay}" if bay else "belongs to no bay"
    messages.success(request, f"{tablet.name} {where} now.")
    return redirect("devices")


@allow(COUNTER)
@require_GET
def connect(request):
    """For the desk's screen: a phone is pointed at it."""
    return render(request, "stages/devices/connect.html", {"way": way_in()})


@public("a phone fetches it before it can trust us, and a certificate is no secret")
@require_GET
def authority(request):
    path = authority_path(settings.TLS_DIR)
    if not path.exists():
        raise Http404
    return FileResponse(
        path.open("rb"), content_type=CONTENT_TYPE, as_attachment=True, filename=path.name
    )
