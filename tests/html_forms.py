"""The forms of a page, and what a browser without scripts sends when one is submitted as drawn.

The entry list follows the HTML standard, "Constructing the entry list", for the controls in use
here: named, not disabled, checked where they can be, and of the buttons only the one pressed.
"""

from dataclasses import dataclass
from urllib.parse import urldefrag, urljoin

from lxml import html

_NOT_SENT = {"submit", "button", "image", "reset", "file"}


@dataclass(frozen=True)
class Press:
    """One submit button of a form pressed, with nothing typed."""

    action: str
    method: str
    button: tuple[str, str] | None
    entries: tuple[tuple[str, str], ...]
    # What a person sees of it, in the order of the page; `blank` are those with nothing chosen.
    shown: tuple[tuple[str, str], ...]
    blank: frozenset[str]
    needed: frozenset[str]
    validated_by_browser: bool
    # It goes where the form goes, and not where one of its buttons asks for something.
    is_main: bool

    @property
    def data(self) -> dict[str, list[str]]:
        found = {}
        for name, value in self.entries:
            found.setdefault(name, []).append(value)
        return found

    @property
    def browser_refuses(self) -> bool:
        return self.validated_by_browser and bool(self.needed)

    @property
    def is_blank(self) -> bool:
        return all(name in self.blank for name, _ in self.shown)

    @property
    def kind(self) -> tuple:
        """Presses of a kind send the same names, and of the buttons a word and not a key."""
        name, value = self.button or ("", "")
        return tuple(sorted(self.data)), name, value if value.isalpha() else ""


def parse(page: bytes, address: str):
    document = html.document_fromstring(page.decode())
    document.make_links_absolute(address)
    return document


def presses(document, address: str):
    """Every submit button of every form of the document."""
    for form in document.forms:
        controls = [one for one in _controls(form, document) if not _disabled(one)]
        entries = [entry for control in controls for entry in _entries(control)]
        seen = [control for control in controls if control.get("name") and _is_seen(control)]
        filled = [control for control in seen if not _is_blank(control)]
        given = {name for control in filled for name, _ in _entries(control)}
        asked = [one for one in seen if "required" in one.attrib and one.get("name") not in given
                 and not any(name == one.get("name") and value for name, value in entries)]
        for button in [one for one in controls if _submits(one)]:
            name, value = button.get("name"), button.get("value", "")
            to = button.get("formaction") or form.get("action") or ""
            yield Press(
                action=urldefrag(urljoin(address, to)).url,
                method=(button.get("formmethod") or form.get("method") or "get").lower(),
                button=(name, value) if name else None,
                is_main="formaction" not in button.attrib,
                entries=(*entries, (name, value)) if name else tuple(entries),
                shown=tuple(entry for control in seen for entry in _entries(control)),
                blank=frozenset(control.get("name") for control in seen) - given,
                needed=frozenset(control.get("name") for control in asked),
                validated_by_browser=not {"novalidate", "formnovalidate"}
                & {*form.attrib, *button.attrib},
            )


def _controls(form, document):
    tags = ("input", "select", "textarea", "button")
    inside = [one for one in form.iter(*tags) if one.get("form") in (None, form.get("id"))]
    named = document.xpath("//*[@form=$key]", key=form.get("id") or "")
    return inside + [one for one in named if one not in inside]


def _disabled(control) -> bool:
    return "disabled" in control.attrib or bool(control.xpath("ancestor::fieldset[@disabled]"))


def _submits(control) -> bool:
    kind = control.get("type", "submit" if control.tag == "button" else "text").lower()
    return kind in ("submit", "image")


def _is_seen(control) -> bool:
    return control.tag != "button" and control.get("type", "text").lower() not in (
        *("hidden", "submit", "button", "image", "reset"),
    )


def _is_blank(control) -> bool:
    """Nothing stands in it that its writer would not find in an empty form."""
    if control.tag == "select":
        first = next(iter(control.value_options), None)
        return not control.multiple and control.value in (None, "", first)
    values = [value for _, value in _entries(control)]
    return not any(value.strip() for value in values)


def _entries(control):
    name, kind = control.get("name"), control.get("type", "text").lower()
    if not name or control.tag == "button" or kind in _NOT_SENT:
        return
    if control.tag == "select":
        chosen = control.value
        values = chosen if control.multiple else [] if chosen is None else [chosen]
        yield from ((name, value) for value in values)
    elif control.tag == "textarea":
        # A browser drops one newline behind the tag, and the parser none.
        yield name, (control.text or "").removeprefix("\n")
    elif kind not in ("checkbox", "radio"):
        yield name, control.get("value", "")
    elif "checked" in control.attrib:
        yield name, control.get("value", "on")
