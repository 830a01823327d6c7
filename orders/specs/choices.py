"""What a board can be chosen to be, in the trade's words. Keys are stored, labels are read."""

from django.db.models import TextChoices


class TailShape(TextChoices):
    PIN = "pin", "Pin"
    ROUND = "round", "Round"
    ROUNDED_PIN = "rounded_pin", "Rounded pin"
    SQUASH = "squash", "Squash"
    SQUARE = "square", "Square"
    SWALLOW = "swallow", "Swallow"
    DIAMOND = "diamond", "Diamond"


class Rail(TextChoices):
    FULL = "full", "Full"
    MEDIUM = "medium", "Medium"
    LOW = "low", "Low"
    FIFTY_FIFTY = "fifty_fifty", "50/50"
    SIXTY_FORTY = "sixty_forty", "60/40"
    TUCKED = "tucked", "Tucked edge"


class Deck(TextChoices):
    FLAT = "flat", "Flat"
    LOW_DOME = "low_dome", "Low dome"
    DOMED = "domed", "Domed"


class Bottom(TextChoices):
    FLAT = "flat", "Flat"
    SINGLE_CONCAVE = "single_concave", "Single concave"
    DOUBLE_CONCAVE = "double_concave", "Double concave"
    SINGLE_TO_DOUBLE = "single_to_double", "Single to double concave"
    VEE = "vee", "Vee"
    ROLLED = "rolled", "Rolled"
    CHANNELS = "channels", "Channels"


class Foam(TextChoices):
    POLYURETHANE = "pu", "Polyurethane (PU)"
    POLYSTYRENE = "eps", "Polystyrene (EPS)"


class Resin(TextChoices):
    POLYESTER = "polyester", "Polyester"
    EPOXY = "epoxy", "Epoxy"


class Stringer(TextChoices):
    NONE = "none", "None"
    EIGHTH = "eighth", '1/8"'
    QUARTER = "quarter", '1/4"'
    THREE_EIGHTHS = "three_eighths", '3/8"'
    HALF = "half", '1/2"'
    T_BAND = "t_band", "T-band"
    DOUBLE = "double", "Double"


class FinSetup(TextChoices):
    SINGLE = "single", "Single"
    TWIN = "twin", "Twin"
    TWIN_KEEL = "twin_keel", "Twin keel"
    THREE_FIN = "three_fin", "Three-fin"
    FOUR_FIN = "four_fin", "Four-fin"
    TWO_PLUS_ONE = "two_plus_one", "Two plus one"
    FIVE_BOX = "five_box", "Five boxes"
    NONE = "none", "No fins"


class BoxKind(TextChoices):
    SINGLE_SLOT = "single_slot", "Single-slot"
    TWO_PLUG = "two_plug", "Two-plug"
    CENTRE_BOX = "centre_box", "Long centre box"
    CENTRE_AND_SLOTS = "centre_and_slots", "Long centre box and single-slots"
    GLASSED_ON = "glassed_on", "Glassed on"
    NONE = "none", "No boxes"


class LeashPlug(TextChoices):
    ONE = "one", "Leash plug"
    NONE = "none", "No leash plug"


class Finish(TextChoices):
    SANDED = "sanded", "Sanded"
    SPRAYED = "sprayed", "Sanded and sprayed"
    GLOSS = "gloss", "Gloss and polish"
