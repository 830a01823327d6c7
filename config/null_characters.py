"""Middleware that takes null characters out of addresses, which no person types."""

from django.http import Http404

_ESCAPED = "%00"


def drop_null_characters(get_response):
    """Text of PostgreSQL cannot hold one, so that each search for one would be a 500. In a form
    Django's own fields refuse it."""

    def answer(request):
        if "\0" in request.path_info:
            raise Http404
        if _ESCAPED in request.META["QUERY_STRING"]:
            request.META["QUERY_STRING"] = request.META["QUERY_STRING"].replace(_ESCAPED, "")
        return get_response(request)

    return answer
