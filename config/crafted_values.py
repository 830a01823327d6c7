"""Middleware for what no person types and no form offers: a null character in an address, and a
number that no column of the database can hold."""

from django.http import Http404
from django.urls import get_resolver

_ESCAPED = "%00"


def refuse_crafted_values(get_response):
    """Text of PostgreSQL cannot hold a null character, so that each search for one would be a 500;
    in a form Django's own fields refuse it. SQLite's driver refuses a key beyond 64 bits with an
    OverflowError, wherever it is looked for: nothing has such a key."""

    def answer(request):
        if "\0" in request.path_info:
            raise Http404
        if _ESCAPED in request.META["QUERY_STRING"]:
            request.META["QUERY_STRING"] = request.META["QUERY_STRING"].replace(_ESCAPED, "")
        return get_response(request)

    answer.process_exception = _no_such_key
    return answer


def _no_such_key(request, exception: Exception):
    if not isinstance(exception, OverflowError) or "SQLite" not in str(exception):
        return None
    return get_resolver().resolve_error_handler(404)(request, exception=exception)
