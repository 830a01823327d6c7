"""The navigation: the rooms, and a second row for the pages of the one that is open."""

from django import template

from stages.rooms import room_at, rooms_of

register = template.Library()


@register.simple_tag(takes_context=True)
def rooms(context) -> list[tuple[str, str, str]]:
    """(name of the address, what it is called, aria-current) of each."""
    name, path, role = _here(context)
    here = room_at(path, role)
    return [
        (room.name, room.says, "page" if room.name == name else "true" if room == here else "")
        for room in rooms_of(role)
    ]


@register.inclusion_tag("stages/room_row.html", takes_context=True)
def room_row(context):
    """The pages of the room, each as in `rooms`."""
    name, path, role = _here(context)
    room = room_at(path, role)
    pages = [
        (page.name, page.says,
         "page" if page.name == name else "true" if path.startswith(page.under) else "")
        for page in (room.pages if room else ())
    ]  # fmt: skip
    return {"room": room, "pages": pages}


def _here(context) -> tuple[str, str, str]:
    request = context.get("request")
    match = getattr(request, "resolver_match", None)
    role = getattr(context.get("user"), "role", "")
    return (match.url_name or "" if match else "", getattr(request, "path", ""), role)
