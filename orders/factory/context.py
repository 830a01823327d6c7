"""The factory for every template, and its zone for every time a template prints."""

from django.utils import timezone

from orders.factory.models import Factory


def factory(request):
    current = Factory.current()
    timezone.activate(current.zone)
    return {"factory": current}
