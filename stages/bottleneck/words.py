"""What holds the factory back, in words a manager reads standing up: one answer for every page.

The gain of the floor played forward decides; work that stands now and queues that grew are its
evidence. Where nothing was played the load alone answers.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from stages.floor.racks import day_words
from stages.flow import sentences
from stages.flow.bottleneck import Gain, Growth
from stages.flow.load import FloorLoad

GREW = 2  # boards from the first day to the last; our choice
AWAY_NAMED = 3  # absences in one sentence


@dataclass(frozen=True)
class Verdict:
    """`stage` is the one named, where one is."""

    headline: str
    evidence: tuple[str, ...] = ()
    stage: str = ""

    @property
    def text(self) -> str:
        return " ".join([self.headline, *self.evidence])


def verdict(load: FloorLoad, gains) -> Verdict:
    """`gains` as gains.Gains has them; None where the floor was not played forward."""
    if gains is None:
        return Verdict(sentences.sentence(load), stage=sentences.most(load))
    if not gains.by_stage and not load.nobody:
        return Verdict(_("There is no work yet, so nothing holds the factory back."))
    nobody = sentences.nobody(load)
    if (stage := most_gain(gains.by_stage)) is None:
        none = _(
            "No stage by itself holds the factory back: a tenth more time at any one of them would "
            "bring no more boards than chance does."
        )
        said = [nobody, none, _work(load, "", gains.by_stage)]
        first, *rest = [sentence for sentence in said if sentence]
        return Verdict(first, tuple(rest))
    headline = _("%(stage)s holds the factory back: a tenth more time there would bring %(wins)s.")
    said = [nobody, _work(load, stage, gains.by_stage), _away(gains.away.get(stage, ()))]
    return Verdict(
        headline % {"stage": stage, "wins": gained(gains.by_stage[stage])},
        tuple(sentence for sentence in said if sentence),
        stage,
    )


def most_gain(gains: Mapping[str, Gain]) -> str | None:
    """The stage that would gain most, where that can be told from chance."""
    told = [name for name, gain in gains.items() if gain.boards.told and gain.boards.more > 0]
    return max(told, key=lambda name: gains[name].boards.more, default=None)


def _work(load: FloorLoad, stage: str, gains: Mapping[str, Gain]) -> str:
    """Where most work stands now; at another stage, what more time there would bring."""
    if not load.bottlenecks:
        return ""
    names, standing = sentences.most(load), sentences.standing(load)
    if not stage or stage in [one.stage for one in load.bottlenecks]:
        said = _("Most work stands at %(stages)s now: %(standing)s.")
        return said % {"stages": names, "standing": standing}
    here = [gains[one.stage] for one in load.bottlenecks if one.stage in gains]
    told = [gain for gain in here if gain.boards.told and gain.boards.more > 0]
    brings = (
        gained(max(told, key=lambda gain: gain.boards.more))
        if told else _("no more boards than chance does")
    )  # fmt: skip
    said = _(
        "Most work stands at %(stages)s now (%(standing)s), but a tenth more time there would "
        "bring %(brings)s."
    )
    return said % {"stages": names, "standing": standing, "brings": brings}


def _away(those: Sequence) -> str:
    if not those:
        return ""
    spans = [_span(one) for one in those[:AWAY_NAMED]]
    if more := len(those) - AWAY_NAMED if len(those) > AWAY_NAMED else 0:
        spans.append(ngettext("%(n)s absence more", "%(n)s absences more", more) % {"n": more})
    return _("Absences to come are counted: %(spans)s.") % {"spans": "; ".join(spans)}


def _span(one) -> str:
    first = day_words(one.first)
    if one.last is None:
        return _("%(name)s from %(first)s") % {"name": one.name, "first": first}
    if one.last == one.first:
        return _("%(name)s on %(first)s") % {"name": one.name, "first": first}
    told = {"name": one.name, "first": first, "last": day_words(one.last)}
    return _("%(name)s %(first)s to %(last)s") % told


def growing(queues: Mapping[str, Growth | None], stage: str) -> str:
    """Which queue grew most over a period, beside the stage the verdict names. One that became a
    board longer, or none, is not worth a word."""
    told = {
        name: queue for name, queue in queues.items()
        if queue and queue.told and queue.per_week > 0 and queue.last - queue.first >= GREW
    }  # fmt: skip
    if not told:
        return _("No queue grew over this period by more than chance.")
    name = max(told, key=lambda name: told[name].per_week)
    said = _("The queue at %(stage)s grew over this period, by about %(boards)s a week.")
    said = said % {"stage": name, "boards": boards(told[name].per_week)}
    if stage in ("", name):
        return said
    return said + " " + _("That tells of the past, the gain of the weeks to come.")


def gained(gain: Gain) -> str:
    """1.1 boards a week more, give or take 0.2"""
    said = _("%(boards)s a week more, give or take %(give)s")
    return said % {"boards": boards(gain.boards.more), "give": f"{gain.boards.give:.1f}"}


def boards(number: float) -> str:
    return f"{number:.1f} {'board' if f'{number:.1f}' == '1.0' else 'boards'}"
