from django.contrib import messages
from django.utils.translation import gettext as _

from orders.merging.forms import MergingForm
from orders.merging.rows import MergingModelRows


def say_what_stayed(request, *forms: MergingForm | MergingModelRows) -> None:
    """Names what others changed while the page was open, which this save left as it is."""
    labels = [label for form in forms for label in form.changed_meanwhile]
    if labels:
        messages.info(
            request,
            _("Changed by somebody else while this page was open, and left so: %(fields)s.")
            % {"fields": ", ".join(labels)},
        )
