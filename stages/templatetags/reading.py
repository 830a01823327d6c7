"""The pages a manager reads, in the order of a morning."""

from django import template

register = template.Library()

PAGES = {
    "morning": "Morning",
    "dates": "Dates",
    "bottleneck": "Bottleneck",
    "what-if": "What if",
    "turnaround": "Turnaround",
    "quality-over-time": "Quality",
    "promises-kept": "Promises kept",
    "week": "Week",
}


@register.simple_tag(takes_context=True)
def reading_pages(context) -> list[tuple[str, str, str]]:
    """(name of the address, what it is called, aria-current) of each."""
    here = _here(context)
    return [(name, says, _current(here, name)) for name, says in PAGES.items()]


@register.simple_tag(takes_context=True)
def reading_now(context) -> str:
    """aria-current of the first page where a room has one entry for all of them."""
    here = _here(context)
    if here == "morning":
        return "page"
    return "true" if any(_current(here, name) for name in PAGES) else ""


def _here(context) -> str:
    match = getattr(context.get("request"), "resolver_match", None)
    return match.url_name or "" if match else ""


def _current(here: str, name: str) -> str:
    """The page itself, or one that it leads to: turnaround-boards of turnaround."""
    if here == name:
        return "page"
    return "true" if here.startswith(f"{name}-") else ""
