"""What if: a scenario beside the floor as it is, and the page that asks once more before it is so.
"""

import hashlib

from django.contrib import messages
from django.core.exceptions import ObjectDoesNotExist, ValidationError
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from orders.accounts.access import MANAGERS, allow
from orders.focus import focus_first_error
from stages.charts.answers import charts_csv
from stages.whatif.actions import apply_writes
from stages.whatif.answer import answer
from stages.whatif.charts import charts_of
from stages.whatif.forms import WhatIfForm
from stages.whatif.ground import DRAWS, REPLICATIONS, WEEKS, ground_now
from stages.whatif.presets import presets
from stages.whatif.scenario import Wish, wishes


@allow(MANAGERS)
@require_GET
def what_if(request):
    """Nothing asked: only the form. An address tells what it asks and nothing else."""
    asked = _asked(request)
    if len(asked) < len(request.GET):
        return redirect(f"{reverse('what-if')}?{asked.urlencode()}")
    ground = ground_now(now=timezone.now())
    form = WhatIfForm(asked or None, ground=ground)
    shown = {
        "form": form, "ground": ground, "presets": presets(ground), "query": asked.urlencode(),
        "weeks": WEEKS, "times": DRAWS * REPLICATIONS, "draws": DRAWS,
    }  # fmt: skip
    if form.is_bound and not form.is_valid():
        focus_first_error(form)
        return render(request, "stages/whatif/page.html", shown, status=422)
    found = wishes(form.cleaned_data, ground) if form.is_bound else []
    if found:
        shown |= {"wishes": found, "answer": answer(found, ground)}
        shown["charts"] = charts_of(shown["answer"])
        shown["applies"] = any(wish.writes for wish in found)
        if (file := charts_csv(request, shown["charts"])) is not None:
            return file
    return render(request, "stages/whatif/page.html", shown)


@allow(MANAGERS)
@require_http_methods(["GET", "POST"])
def apply(request):
    """Asks once more, with what stands now and what would stand; then writes what was shown."""
    asked = _asked(request)
    form = WhatIfForm(asked or None, ground=ground_now(now=timezone.now()))
    back = f"{reverse('what-if')}?{asked.urlencode()}"
    if not form.is_valid():
        return redirect(back)
    found = wishes(form.cleaned_data, form.ground)
    told = [line for wish in found for line in wish.told]
    if not told:
        return redirect(back)
    shown = {
        "wishes": found, "told": told, "cannot": [wish for wish in found if wish.cannot],
        "mark": _mark(told), "back": back, "address": request.get_full_path(),
    }  # fmt: skip
    if request.method == "GET":
        return render(request, "stages/whatif/apply.html", shown)
    if request.POST.get("mark") != shown["mark"]:
        shown["changed"] = True
        return render(request, "stages/whatif/apply.html", shown, status=409)
    if error := _apply(request, found):
        return render(request, "stages/whatif/apply.html", {**shown, "error": error}, status=422)
    messages.success(request, "Applied. The dates are worked out anew.")
    return redirect("what-if")


def _apply(request, found: list[Wish]) -> str:
    """Why it could not be; empty when it was done."""
    writes = [write for wish in found for write in wish.writes]
    try:
        apply_writes(writes=writes, by=request.user, at=timezone.now())
    except ValidationError as error:
        return " ".join(error.messages)
    except ObjectDoesNotExist:
        return "A person or a stage of this scenario is gone. Ask again."
    return ""


def _asked(request):
    """What the address asks for, without the fields left empty."""
    asked = request.GET.copy()
    for name in list(asked):
        kept = [value for value in asked.getlist(name) if value.strip()]
        if kept:
            asked.setlist(name, kept)
        else:
            del asked[name]
    return asked


def _mark(told: list[str]) -> str:
    return hashlib.sha256("\n".join(told).encode()).hexdigest()
