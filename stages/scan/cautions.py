"""The usual cautions of each kind of work, short enough to be read with gloves on.

They never replace the supplier's safety data sheet, local rules and trained people, and say so.
"""

import re

DEFER = "The supplier's safety data sheet, local rules and trained people come first."

# Catalyst: a resin maker's data sheet (Scott Bader, Crystic 197M PA) forbids direct contact of
# catalyst and accelerator; spray-gun makers' MEKP pages (Graco) forbid thinning it with acetone.
# Eyes: safety data sheet of a MEKP (Eager Polymers). Leftovers: a catalyst chart (East Coast
# Fibreglass) gives over 150 degrees C and cold water outdoors.
_POLYESTER = (
    "Catalyst never meets promoter, and is never thinned with acetone: both can explode.",
    "Goggles and gloves; catalyst in the eye: rinse at once, get medical help.",
    "No flame or spark near resin fumes. Leftover mixed resin runs hot: outdoors, cold water on.",
)
# Skin: an epoxy builder's mixing guide (Sliver Paddleboards) and a builders' safety note.
_EPOXY = (
    "Epoxy makes skin allergic for good: gloves, and never clean skin with solvent.",
    "Leftover mixed resin runs hot: outdoors, away from anything that burns.",
)
# Dust and tools: common practice, no source.
_DUST = (
    "Dust: extraction on, mask, goggles, ears covered.",
    "Tool unplugged before you change a blade, a bit or a pad.",
)
_SPRAY = ("Spray and solvent: extraction on, the mask the data sheet names, no flame or spark.",)
_ANY = ("Eyes, ears, lungs and hands covered as this work asks.",)

_RESIN_WORK = r"glass|lamin|\blap|cloth|resin|hot\s?coat|filler|\bfins?\b|\bbox|\bplug|leash|gloss"
_DUST_WORK = r"shap|cut|cnc|machine|mill|plan(e|ing)|sand|\brub|polish|buff|\bfins?\b|\bbox|\bplug"
_SPRAY_WORK = r"spray|paint|colou?r|brush"


def cautions(stage_name: str, resin: str) -> list[str]:
    """What to mind at this stage, for a board with this resin ("polyester" or "epoxy")."""
    name = stage_name.lower()
    found = []
    if re.search(_RESIN_WORK, name):
        found += _EPOXY if resin == "epoxy" else _POLYESTER
    if re.search(_DUST_WORK, name):
        found += _DUST
    if re.search(_SPRAY_WORK, name):
        found += _SPRAY
    return [*(found or _ANY), DEFER]
