"""Invented names and sentences. No person, place, shop or board of these names is meant."""

FIRST_NAMES = [
    "Åse", "Tarje", "Runa", "Ivo", "Marit", "Eskil", "Solva", "Brage", "Nanna", "Odvin", "Ylva",
    "Kjartan", "Hedda", "Aslak", "Signy", "Torbe", "Liv", "Mattis", "Embla", "Oskar", "Vilja",
    "Henning", "Tuva", "Sander", "Maiken", "Roar", "Alma", "Jostein", "Frida", "Birk", "Selma",
    "Halvor", "Ronja", "Peder", "Iben", "Gaute", "Thea", "Vetle", "Mona", "Skjalg",
]
_FRONT = [
    "Tang", "Skar", "Måke", "Sjø", "Terne", "Drag", "Våg", "Holm", "Bølge", "Lyng", "Stein",
    "Kvern", "Ravn", "Tjeld", "Alke", "Brim",
]
_BACK = [
    "vær", "bryn", "holt", "skjer", "lid", "mork", "stø", "gard", "hammer", "by",
]
SURNAMES = [front + back for front in _FRONT for back in _BACK]

LONGEST_NAME = (
    "Wilhelmina Konstanse Tangbryn-Skjerholmvågstrand av Ytterste Måkeskjer og Sørbrimland, junior"
)
SHOPS = ["Third Groyne Surf Room", "Kelp and Cork"]
LABEL = "Half Fathom"

# Numbers the Swedish regulator PTS sets aside for books and films, so that none can ring. From
# memory: 070-1740605 to 699 and, as fixed lines, 031-3900600 to 699, 040-6280400 to 499,
# 08-46500400 to 499.
PHONES = [
    *(f"+46701740{n}" for n in range(605, 700)),
    *(f"+46313900{n}" for n in range(600, 700)),
    *(f"+46406280{n}" for n in range(400, 500)),
    *(f"+46846500{n}" for n in range(400, 500)),
]

ADDRESS = "Naust 4\n8390 Skarvika"
PHONE = "+46 8 465 004 99"
OPENING_HOURS = "Monday to Friday 9 to 17\nSaturday 10 to 14"

TERMS = (
    "A board is made to the numbers on this paper; please read them before you sign. Half of the "
    "price is due when you order and the rest when you collect. Until the blank is cut you may "
    "change your mind and have the deposit back; after that the deposit stays with us. The date is "
    "our best judgement, and we tell you when it moves. Boards are made by hand: a thirty-second "
    "of an inch, a breath of colour or a small pinhole is no fault. Let a new board cure a week "
    "before you ride it and keep it out of the hot car. We mend faults of our making for a year."
)

COLOURS = [
    "Clear", "Clear", "Clear", "Clear, grey pinline", "Clear, pencil numbers left to show",
    "Sea-green tint, cut lap", "Tobacco tint both sides", "Rust tint bottom, clear deck",
    "White opaque, black resin pinline", "Mustard tint with volan patches",
    "Slate tint deck, bone bottom", "Pale blue spray on the foam, fading to the tail",
    "Oxblood bottom with a cut lap, clear deck", "Bottle-green abstract swirl",
]
ART = [
    "", "", "", "", "", "Two thin pinlines, 1 in apart", "Competition stripe off-centre",
    "Small gannet at the tail, from the drawing in the folder", "Half-moon on the deck, nose third",
    "Label under the cloth, 10 in from the nose", "Fabric inlay on the deck, tail third",
]
EXTRAS = [
    "", "", "", "", "", "Tail patch", "Deck patch under both feet", "Nose block, cedar",
    "Carbon strip along the tail", "Loop in place of the plug's bar",
]
BAY_NOTES = [
    "", "", "", "", "", "Keep the tail thin: rides small waves on a strong tide",
    "Heavy front foot: an extra layer there", "Last board was too corky under the chest",
    "Match the rails of the board left on the rack", "Goofy, stands far back",
]
LONG_ART = (
    "Deck: a lighthouse in pencil grey whose beam runs from the stringer to the left rail, widest "
    "at the wide point, cut by four horizontal lines that stand for the swell of the day it was "
    "ordered (spacing 3, 2 1/4, 1 1/2 and 3/4 in from nose to tail). Under it, in the rider's own "
    "hand, from the sheet in the folder: 'ikke rør, ikke snu, bare kom'. Bottom: sea-green tint "
    "from the nose to 4 in before the fins, faded over 6 in into clear, no hard line; rails 60/40 "
    "tinted with the bottom and taped so that the cut lap falls exactly on the tuck. Pinline over "
    "every edge, 1/8 in, black, hand-pulled; stop it 1/2 in short on either side of the stringer. "
    "Please send a photograph before the filler coat: the rider wants to see the beam."
)
LONG_NOTE = (
    "Glassed-on fins: foil and base from the pattern marked 'K. 4', toe 3/16 in, lean 6 degrees. "
    "Rope in the fillet, no cloth edge above it. The rider fell out with the last board's tail "
    "twice, so measure from the tail block and not from the old board, which is 1/8 in out."
)

HOLD_REASONS = [
    "colour still to be agreed with the rider",
    "fin boxes not in stock",
    "bumped on the rack: the shaper must look at it",
    "art not yet sent",
    "balance of the order before this one unpaid",
]
CHANGES = [
    # Latest step index at which it still can be done, the spec's fields, the reason.
    (0, {"width": 1}, "rider asks for 1/8 in more width"),
    (0, {"thickness": 1}, "rider asks for 1/16 in more thickness"),
    (1, {"colour": "Sea-green tint, cut lap"}, "colour changed by phone"),
    (1, {"art": "No art after all, clear deck"}, "art dropped"),
    (9, {"bay_notes": "Wants it ready for the autumn trip: call when it passes"}, "note for all"),
]
# Defect, the stage it goes back to, how often. The trade's names; the shares are invented.
DEFECTS = [
    ("sand-through", "Sanding", 26),
    ("pinholes", "Sanding", 24),
    ("fisheyes", "Sanding", 8),
    ("dry weave", "Glassing", 12),
    ("air bubble", "Glassing", 8),
    ("fin out of line", "Fin boxes", 8),
    ("plug proud of the deck", "Plug", 14),
]
# What is noted beside it, and where it is put on the drawing: (side, mm right of the stringer, mm
# from the nose).
DEFECT_PLACES = [
    ("left rail", ("deck", -215, 900)),
    ("right rail, near the tail", ("bottom", 165, 1430)),
    ("under the chest", ("deck", 40, 800)),
    ("nose", ("deck", 0, 160)),
    ("", None),
]
SCRAPPED = {"reason": "fell off the rack", "note": "stringer cracked through under the chest"}
LATE_REASONS = [
    ("material", "the blank came late"), ("behind", "the glasser was ill"), ("again", ""),
]
EARLY_REASON = "hard already, a fingernail leaves no mark"
