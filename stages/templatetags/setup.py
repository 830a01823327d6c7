"""What a new factory still needs, on the pages where it is done."""

from django import template

from stages.setup.first_steps import first_steps
from stages.setup.models import Confirmation, Setting

register = template.Library()


@register.inclusion_tag("stages/setup/lead_on.html", takes_context=True)
def lead_on(context):
    """The next step, above every page of those who can do it, until the factory is set up."""
    match = getattr(context.get("request"), "resolver_match", None)
    manages = getattr(context.get("user"), "manages", False)
    if not manages or (match and match.url_name == "start"):
        return {}
    steps = first_steps()
    left = [step for step in steps if not step.done]
    here = match.url_name if match else ""
    return {"left": left, "done": len(steps) - len(left), "all": len(steps), "here": here}


@register.simple_tag
def stages_confirmed() -> bool:
    return Confirmation.objects.filter(setting=Setting.STAGES).exists()
