"""The address a form leads back to, as the page or the browser names it."""

from django.utils.http import url_has_allowed_host_and_scheme

_LONGEST = 2000


def address_back(text: str, *, host: str | None = None, secure: bool = False) -> str:
    """`text` where it is a whole path here, or an address at `host`; else empty.

    What is left may go into a Location header as it stands: it is never the name of a view.
    """
    known = text.startswith("/") or (host and text.startswith(("http://", "https://")))
    if not known or len(text) > _LONGEST or not text.isprintable():
        return ""
    allowed = url_has_allowed_host_and_scheme(text, allowed_hosts=host, require_https=secure)
    return text if allowed else ""
