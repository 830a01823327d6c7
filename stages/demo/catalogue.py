"""The invented factory's crew and house designs."""

from dataclasses import dataclass, field

INCH = 25_400_000  # nm

_EARLY = [[420, 690], [720, 930]]
_MORNING = [[420, 720]]
_LATE = [[720, 930], [960, 1170]]
_OFF = []


@dataclass(frozen=True)
class Hand:
    """One of the crew: skills in the order they like them, hours of each weekday, pace."""

    username: str
    name: str
    skills: tuple[str, ...]
    week: list
    pace: float = 1.0


CREW = [
    Hand("inka", "Inka", ("Shaping",), [_EARLY] * 3 + [_MORNING, _OFF, _OFF, _OFF], 0.95),
    Hand("tor", "Tor", ("Shaping", "Fin boxes"), [_OFF, _EARLY, _EARLY, _MORNING] + [_OFF] * 3),
    Hand("pelle", "Pelle", ("Shaping", "Fin boxes"), [_LATE, _OFF, _LATE] + [_OFF] * 4),
    Hand("bo", "Bo", ("Glassing", "Gloss and polish"), [_EARLY] * 3 + [_MORNING] * 2 + [_OFF] * 2,
         1.0),
    Hand("wilma", "Wilma", ("Glassing",), [_OFF, _MORNING, _OFF, _MORNING, _MORNING, _OFF, _OFF],
         1.05),
    Hand("runa", "Runa", ("Fin boxes", "Sanding"), [_MORNING] * 4 + [_OFF] * 3, 1.05),
    Hand("sela", "Sela", ("Sanding", "Plug", "QC"), [_EARLY, _OFF] * 3 + [_OFF]),
    Hand("juni", "Juni", ("Gloss and polish", "Sanding"), [_LATE, _OFF, _OFF, _LATE] + [_OFF] * 3),
    Hand("quin", "Quin", ("QC", "Plug"), [_OFF, _MORNING, _OFF, _MORNING, _MORNING, _OFF, _OFF]),
]
# Names at the desk: who takes orders, who runs the floor, whose factory it is.
DESK = [("cleo", "Cleo", "counter"), ("mara", "Mara", "manager"), ("odd", "Odd", "owner")]


@dataclass(frozen=True)
class Model:
    """A house design at its middle size; lengths in inches, steps in 1/8 and 1/16 in a size."""

    name: str
    board_class: str
    price: int
    share: int
    numbers: tuple[float, float, float, float, float]  # length, width, thickness, nose, tail
    choices: dict = field(default_factory=dict)
    work: float = 1.0  # bench time against an ordinary board
    note: str = ""

    def size(self, step: int) -> dict:
        """The numbers `step` sizes up or down: 2 in longer, 1/8 wider, 1/16 thicker each."""
        length, width, thickness, nose, tail = self.numbers
        return {
            "length_nm": round((length + 2 * step) * INCH),
            "width_nm": round((width + step / 8) * INCH),
            "thickness_nm": round((thickness + step / 16) * INCH),
            "nose_nm": round((nose + step / 8) * INCH),
            "tail_nm": round((tail + step / 8) * INCH),
        }


def _c(tail, rail, bottom, fins, boxes, **more) -> dict:
    return {
        "tail_shape": tail, "rail": rail, "bottom": bottom, "fin_setup": fins, "box_kind": boxes,
        **more,
    }


def _in(**inches: float) -> dict:
    """More of the numbers, in inches."""
    return {f"{name}_nm": round(value * INCH) for name, value in inches.items()}


_HEAVY = {"deck_cloth": "6 + 6 oz", "bottom_cloth": "6 oz", "stringer": "quarter"}
_EPOXY = {"foam": "eps", "resin": "epoxy", "stringer": "none", "deck_cloth": "4 + 4 oz S"}

MODELS = [
    Model("Skerry", "shortboard", 69_000, 22, (73, 19.25, 2.4375, 11.5, 14.5),
          _c("squash", "medium", "single_to_double", "three_fin", "single_slot",
             **_in(nose_rocker=4.875, tail_rocker=2.375, nose_thickness=1.4375,
                   tail_thickness=1.5625)),
          note="Everyday three-fin for the point and the beach"),
    Model("Turnstone", "shortboard", 72_000, 9, (76, 18.75, 2.375, 11, 13.75),
          _c("rounded_pin", "low", "single_concave", "three_fin", "two_plug"),
          note="For days with some wall"),
    Model("Bollard", "shortboard", 71_000, 12, (67, 20.25, 2.5, 13.5, 15.75),
          _c("diamond", "medium", "flat", "five_box", "single_slot", **_EPOXY),
          note="Short and wide for weak summer waves"),
    Model("Fjordfish", "fish", 78_000, 14, (68, 21, 2.5, 15.5, 17),
          _c("swallow", "sixty_forty", "flat", "twin_keel", "two_plug", deck="low_dome",
             **_in(tail_end=11, tail_depth=5.5, wide_point=2)), 1.05,
          "Two keels, flat and quick"),
    Model("Limpet", "fish", 76_000, 5, (64, 20.75, 2.5, 15, 16.5),
          _c("swallow", "medium", "vee", "twin", "two_plug"), 1.0, "A shorter fish"),
    Model("Eider", "mid_length", 86_000, 13, (84, 21.25, 2.75, 16.25, 15.25),
          _c("round", "sixty_forty", "rolled", "single", "centre_box", deck_cloth="6 + 4 oz"), 1.2,
          "Seven-foot all-rounder, one fin"),
    Model("Lee Shore", "mid_length", 89_000, 8, (88, 21.5, 2.875, 16.5, 15),
          _c("rounded_pin", "fifty_fifty", "vee", "two_plus_one", "centre_and_slots"), 1.25,
          "Takes a drop; a fin in the middle and two small ones"),
    Model("Longshore", "longboard", 112_000, 11, (110, 22.75, 3, 17.75, 14.75),
          _c("square", "fifty_fifty", "rolled", "single", "centre_box", **_HEAVY,
             **_in(nose_rocker=3.75, tail_rocker=4)), 1.5,
          "Nine-foot glider"),
    Model("Dogwatch", "longboard", 118_000, 5, (114, 23, 3.125, 18.5, 15),
          _c("square", "full", "rolled", "single", "centre_box", **_HEAVY), 1.55,
          "For standing at the front on slow mornings"),
    Model("Stormglass", "gun", 98_000, 3, (90, 19.5, 2.75, 10.5, 12.5),
          _c("pin", "low", "vee", "three_fin", "single_slot", deck_cloth="6 + 4 oz"), 1.2,
          "For the two days a year"),
    Model("Crosswind", "shortboard", 84_000, 3, (70, 19.75, 2.5, 13, 15),
          _c("rounded_pin", "medium", "single_to_double", "three_fin", "two_plug",
             left_tail_shape="squash", **_in(left_shorter=1.5, left_tail=15.25)), 1.15,
          "Asymmetric: drawn out on one side, short and quick on the other"),
]
