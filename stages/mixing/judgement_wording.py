"""What is wrong with a mix, and what to do with the cup, in the words of the bench.

What to do with a cup that runs hot is the supplier's chart's (Catalyst addition chart, East Coast
Fibreglass: leftover resin passes 150 C; outdoors, cold water on it). That what is short may be
added before it sets is common practice, no source. The data sheet comes first.
"""

from django.utils.translation import gettext_lazy as _

# Figures by name in the manner of gettext; the device fills them in as well.
SENTENCES = {
    "unread_temperature": _("Type the temperature of the resin, in °C."),
    "unread_resin": _("Type the resin you weighed, in grams. Nothing is started."),
    "unread_catalyst": _("Type the catalyst you weighed, in grams; 0 if none. Nothing is started."),
    "unread_hardener": _("Type the hardener you weighed, in grams; 0 if none. Nothing is started."),
    "cold_catalyst": _(
        "%(celsius)s °C is too cold: warm the room, the blank and the resin to %(coldest)s "
        "°C; more catalyst does not help."
    ),
    "cold_hardener": _(
        "%(celsius)s °C is too cold: warm the room, the blank and the resin to %(coldest)s "
        "°C; more hardener does not help."
    ),
    "hot": _(
        "%(celsius)s °C is too hot: it may go off in the pot. Cool the room, the blank and "
        "the resin below %(hottest)s °C, or wait for a cooler hour."
    ),
    "no_catalyst": _(
        "No catalyst: this never sets. Put it in before anything is poured, and type what "
        "went in."
    ),
    "no_hardener": _(
        "No hardener: this never sets. Put it in before anything is poured, and type what "
        "went in."
    ),
    "percent_low": _(
        "%(percent)s %% catalyst is too little, less than %(low)s %%: it may never set. Do "
        "not pour it: weigh again, add what is missing, stir, and type what is in the cup "
        "now."
    ),
    "percent_high": _(
        "%(percent)s %% catalyst is too much, more than %(high)s %%: it runs hot, smokes, and"
        " cures weak or not at all. Do not pour it: set the cup down outdoors, away from "
        "anything that burns, pour cold water on it, and mix a fresh one."
    ),
    "ratio_low": _(
        "%(off)s %% too little hardener: off its ratio an epoxy stays soft. %(resin)s g of "
        "resin take %(right)s g. Do not pour it: add what is missing, stir, and type what is "
        "in the cup now."
    ),
    "ratio_high": _(
        "%(off)s %% too much hardener: off its ratio an epoxy stays soft and runs hot. "
        "%(resin)s g of resin take %(right)s g. Do not pour it: set the cup down outdoors, "
        "away from anything that burns, and mix a fresh one."
    ),
    "pot_large": _(
        "%(grams)s g in one pot: this resin is mixed at most %(safe)s g at once, more runs "
        "hot. Part it now over cups of %(safe)s g at most."
    ),
}
# Short, for lists.
MARKS = {
    "unread_temperature": _("temperature not said"),
    "unread_resin": _("resin not weighed"),
    "unread_catalyst": _("catalyst not weighed"),
    "unread_hardener": _("hardener not weighed"),
    "cold_catalyst": _("too cold, %(celsius)s °C"),
    "cold_hardener": _("too cold, %(celsius)s °C"),
    "hot": _("too hot, %(celsius)s °C"),
    "no_catalyst": _("no catalyst"),
    "no_hardener": _("no hardener"),
    "percent_low": _("too little catalyst, %(percent)s %%"),
    "percent_high": _("too much catalyst, %(percent)s %%"),
    "ratio_low": _("%(off)s %% too little hardener"),
    "ratio_high": _("%(off)s %% too much hardener"),
    "pot_large": _("%(grams)s g in one pot, %(safe)s g at most"),
}


def sentence(code: str, figures: dict) -> str:
    return _filled(SENTENCES, code, figures)


def mark(code: str, figures: dict) -> str:
    return _filled(MARKS, code, figures)


def _filled(words: dict, code: str, figures: dict) -> str:
    told = {name: f"{value:g}" for name, value in figures.items()}
    return str(words[code]) % told if code in words else code
