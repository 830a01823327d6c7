"""Puts the keyboard where the first mistake is."""


def focus_first_error(*forms) -> None:
    """Marks the first field with an error, in the order of the page, for app.js to focus.

    An error that belongs to no field is left to the summary on top of the page.
    """
    for form in forms:
        if not form.is_bound:
            continue
        for name in form.fields:
            if name in form.errors:
                form.fields[name].widget.attrs["data-focus"] = ""
                return
