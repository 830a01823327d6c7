"""What a browser would send from a page that nobody typed into."""

from html.parser import HTMLParser


class _Forms(HTMLParser):
    def __init__(self):
        super().__init__()
        self.forms, self._select, self._textarea = [], None, None

    def handle_starttag(self, tag, attributes):
        attrs = dict(attributes)
        if tag == "form":
            self.forms.append({})
        if not self.forms:
            return
        form, name = self.forms[-1], attrs.get("name")
        if tag == "input" and name:
            kind = attrs.get("type", "text")
            usual = "on" if kind == "checkbox" else ""
            if kind not in ("checkbox", "radio", "submit") or "checked" in attrs:
                form.setdefault(name, []).append(attrs.get("value", usual))
        elif tag == "select" and name:
            self._select = (name, "multiple" in attrs, [])
        elif tag == "option" and self._select:
            self._select[2].append((attrs.get("value", ""), "selected" in attrs))
        elif tag == "textarea" and name:
            self._textarea = name
            form[name] = [""]

    def handle_endtag(self, tag):
        if tag == "select" and self._select:
            name, many, options = self._select
            chosen = [value for value, selected in options if selected]
            if not chosen and options and not many:
                chosen = [options[0][0]]
            if chosen:
                self.forms[-1][name] = chosen
            self._select = None
        elif tag == "textarea":
            self._textarea = None

    def handle_data(self, data):
        if self._textarea:
            sent = self.forms[-1][self._textarea]
            sent[0] += data if sent[0] else data.removeprefix("\n")


def sent_by(response, *, field: str) -> dict[str, list[str]]:
    """The fields of the page's form that has one named `field`, as drawn."""
    parser = _Forms()
    parser.feed(response.content.decode())
    form = next(form for form in parser.forms if field in form)
    form.pop("csrfmiddlewaretoken", None)
    return form
