"""How much hardener a mix of resin takes, by the kind of resin.

Polyester is dosed with a few per cent of catalyst (MEKP), more when it is colder, and two
conventions are in use for the same word "per cent": true weight, and millilitres of catalyst to
100 g of resin. Epoxy has one ratio, which is never changed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

ML_PER_100_G, BY_WEIGHT = "ml_per_100_g", "weight"

# Per cent from and below these degrees C, in millilitres to 100 g of resin: a supplier's chart
# for medium catalyst (Catalyst addition chart, scribd.com/document/406894451; a trade supplier).
# Its edges stand in two rows; here the lower edge belongs to the row.
SUPPLIER_CHART = ((5.0, 13.0, 4.0), (13.0, 16.0, 3.0), (16.0, 20.0, 2.0), (20.0, 35.0, 1.0))
# Not below this: resin must first reach room temperature (Crystic 123PA and 124PA data sheet,
# Scott Bader; a manufacturer's data sheet). It overrides the chart's coldest rows.
COLDEST_POLYESTER_C = 15.0
# Nor above this. The chart ends here; its last edge belongs to no row. A trade supplier would have
# the workshop no warmer than 25 C; a published table of epoxy gel times goes on to 43 C (Gel,
# recoat and curing time chart, scribd.com/document/708897795), where 16 min are left of 52 at 21 C:
# for epoxy this figure is common practice, no source, until the data sheet's own is entered.
HOTTEST_C = 35.0
# So near the edge of two rows the reading of a thermometer decides between two doses. Common
# practice, no source.
EDGE_C = 1.0
# Sources put the lower end between 0.25 and 1 % and the upper between 2 and 4 %: the bands are
# common practice drawn from them (1.0-1.5 % at 25.6 C, The Inertia; 1.0-2.5 parts by weight,
# Crystic 123PA; above 4 % may never cure, a seller's guide).
NORMAL_PERCENT = (1.0, 2.0)
ALLOWED_PERCENT = (0.5, 4.0)
# From memory, g/ml; a data sheet for the catalyst in hand has it.
CATALYST_G_PER_ML = 1.13


# (up to ml, marks of ml): what a syringe of 3, of 5 or 10, and of 20 ml or more can be read to;
# from memory.
_MARKS = ((3.0, 0.1), (12.0, 0.2), (float("inf"), 1.0))


def syringe_ml(ml: float) -> float:
    """Rounded to a mark of the syringe that holds it; half a mark goes up."""
    mark = next(mark for most, mark in _MARKS if ml <= most)
    return round(math.floor(ml / mark + 0.5 + 1e-9) * mark, 1)


class NoDose(ValueError):
    """There is no dose; the message says why and what to do instead."""


@dataclass(frozen=True)
class Dose:
    """What goes in one mix, all in grams except the `_ml`. `band` is normal or warn, `note` why.
    `said` is the dose in the words of its convention."""

    resin_g: float
    resin_ml: float
    hardener_g: float
    hardener_ml: float
    said: str
    band: str = "normal"
    note: str = ""

    @property
    def total_g(self) -> float:
        return self.resin_g + self.hardener_g


@dataclass(frozen=True)
class Polyester:
    """A polyester and its catalyst. `chart` rows are (from C, below C, per cent) in
    `convention`; densities g/ml (liquid resin 1.13 +/- 0.02: General purpose resin data sheet,
    Manjeet Enterprises)."""

    chart: tuple[tuple[float, float, float], ...] = SUPPLIER_CHART
    convention: str = ML_PER_100_G
    resin_g_per_ml: float = 1.13
    catalyst_g_per_ml: float = CATALYST_G_PER_ML
    coldest_c: float = COLDEST_POLYESTER_C
    hottest_c: float = HOTTEST_C

    @property
    def known_c(self) -> tuple[float, float]:
        """From, and below, which temperatures there is a dose: by the data sheet and the chart."""
        low = min((row[0] for row in self.chart), default=self.coldest_c)
        high = max((row[1] for row in self.chart), default=self.hottest_c)
        return max(self.coldest_c, COLDEST_POLYESTER_C, low), min(self.hottest_c, high)

    @property
    def grams_a_percent(self) -> float:
        """Grams of catalyst to a gram of resin that are one per cent in this convention."""
        if self.convention == ML_PER_100_G:
            return self.catalyst_g_per_ml / 100
        if self.convention == BY_WEIGHT:
            return 1 / 100
        raise ValueError(f"Unknown convention {self.convention!r}.")

    def edge_note(self, celsius: float) -> str:
        """A supplier's chart is bands, with nothing said between them: near an edge, half a degree
        may change the dose by half, and that is said."""
        low, high = self.known_c
        ends = {row[1]: row[2] for row in self.chart}
        for edge, _, warmer in self.chart:
            colder = ends.get(edge)
            if colder is None or colder == warmer or not low < edge < high:
                continue
            if abs(celsius - edge) < EDGE_C:
                return (f"The chart changes at {edge:g} °C: {colder:g} % below it, {warmer:g} % "
                        "from it on. Measure the resin once more.")
        return ""

    def percent_at(self, celsius: float) -> float:
        """The chart's per cent for resin at this temperature."""
        check_temperature(celsius, *self.known_c, "catalyst")
        for low, below, percent in self.chart:
            if low <= celsius < below:
                return percent
        raise NoDose(f"The chart has no row for {celsius:g} C. Bring the resin to a temperature "
                     "it has, or ask the supplier.")

    def dose(self, resin_g: float, celsius: float, percent: float | None = None) -> Dose:
        """The catalyst for `resin_g`; by the chart unless a per cent is given."""
        by_chart = self.percent_at(celsius)
        edge = self.edge_note(celsius) if percent is None else ""
        percent = by_chart if percent is None else percent
        band, note = judge_percent(percent)
        note = " ".join(part for part in (edge, note) if part)
        grams = percent * resin_g * self.grams_a_percent
        ml = grams / self.catalyst_g_per_ml
        if self.convention == ML_PER_100_G:
            said = f"{percent:g} ml to 100 g of resin"
        else:
            said = f"{percent:g} % of the resin's weight"
        return Dose(resin_g, resin_g / self.resin_g_per_ml, grams, ml, said, band, note)

    def share(self, celsius: float, percent: float | None = None) -> float:
        """Grams of resin in a gram of the mix."""
        return 1 / self.dose(1.0, celsius, percent).total_g

    def mix(self, total_g: float, celsius: float, percent: float | None = None) -> Dose:
        """The dose that makes `total_g` of mixed resin."""
        return self.dose(total_g * self.share(celsius, percent), celsius, percent)


@dataclass(frozen=True)
class Epoxy:
    """An epoxy and its own hardener: `parts` (resin, hardener) by "weight" or "volume".

    Usual figures: 2 to 1 by volume is 110 to 49 by weight of 100 to 50 by volume in US fluid
    ounces, so 1.054 and 0.939 g/ml (How much resin to laminate a surfboard, Shedtech 2016; a
    blog). Coldest: 50-60 F by system (forum.swaylocks.com/t/41934; a forum), the warmer taken.
    """

    parts: tuple[float, float] = (2.0, 1.0)
    measured_by: str = "volume"
    resin_g_per_ml: float = 1.054
    hardener_g_per_ml: float = 0.939
    coldest_c: float = 15.6
    hottest_c: float = HOTTEST_C

    @property
    def weight_ratio(self) -> float:
        """Grams of hardener to a gram of resin."""
        ratio = self.parts[1] / self.parts[0]
        if self.measured_by == "volume":
            return ratio * self.hardener_g_per_ml / self.resin_g_per_ml
        if self.measured_by == "weight":
            return ratio
        raise ValueError(f"Unknown measure {self.measured_by!r}.")

    def mix(self, total_g: float, celsius: float) -> Dose:
        """What makes `total_g` of mixed resin. The temperature only says whether to begin."""
        check_temperature(celsius, self.coldest_c, self.hottest_c, "hardener")
        resin_g = total_g / (1 + self.weight_ratio)
        hardener_g = total_g - resin_g
        said = f"{self.parts[0]:g} to {self.parts[1]:g} by {self.measured_by}, never changed"
        return Dose(resin_g, resin_g / self.resin_g_per_ml, hardener_g,
                    hardener_g / self.hardener_g_per_ml, said)


def check_temperature(celsius: float, coldest_c: float, hottest_c: float, hardener: str) -> None:
    if celsius < coldest_c:
        raise NoDose(f"{celsius:g} °C is too cold for this resin. Warm the room, the blank and the "
                     f"resin to {coldest_c:g} °C or more; more {hardener} does not help.")
    if celsius >= hottest_c:
        raise NoDose(f"{celsius:g} °C is too hot for this resin: it may go off in the pot. Cool "
                     f"the room, the blank and the resin below {hottest_c:g} °C, or wait for a "
                     f"cooler hour; less {hardener} does not help.")


def judge_percent(percent: float) -> tuple[str, str]:
    """("normal" or "warn", why) for a polyester's per cent, in its own convention; what no
    source allows is refused."""
    low, high = ALLOWED_PERCENT
    if not low <= percent <= high:
        raise NoDose(f"{percent:g} % is outside {low:g} to {high:g} %, beyond every published "
                     "figure: too little may never cure, too much runs hot, cures weak or not at "
                     "all. Keep inside it, whatever the hurry.")
    if percent < NORMAL_PERCENT[0]:
        return "warn", "Less than usual: slow, and it may stay soft. Check the data sheet."
    if percent > NORMAL_PERCENT[1]:
        return "warn", ("More than usual: hot, quick and weaker. Warm the room instead if you "
                        "can, and check the data sheet.")
    return "normal", ""
