"""One view and nothing else."""

from datetime import UTC, datetime

from django.db import transaction
from django.http import HttpResponse
from django.urls import path

from tests.benchmarks.bare.models import Happening, Thing


def log(request, token):
    now = datetime.now(UTC)
    with transaction.atomic():
        thing = Thing.objects.get(token=token)
        Happening.objects.create(
            ref=request.POST["ref"],
            thing=thing,
            number=thing.count + 1,
            kind=request.POST["kind"],
            at=now,
        )
        Thing.objects.filter(pk=thing.pk, count=thing.count).update(
            count=thing.count + 1, state=request.POST["kind"], at=now
        )
    return HttpResponse(status=303, headers={"Location": "/"})


urlpatterns = [path("<str:token>", log)]
