"""The usual cautions at the mixing bench. The supplier's data sheet and local rules go first."""

ALWAYS = (
    "The resin's and hardener's data sheets, local rules and the trained people of this factory "
    "go before anything on this page.",
    "Weigh every pot and every dose on a scale, or measure with a syringe; never guess, and do "
    "not count drops.",
    "Gloves, eye protection and fresh air or the mask the data sheet names. No flame, spark or "
    "smoking near resin or acetone.",
    "A deep pot gets hot and goes off sooner than the same resin spread out. Keep to the safe pot.",
    "Leftover mixed resin: carry it outdoors, fill the pot with cold water and leave it there "
    "until it is cold. Unfilled it can pass 150 C.",
)
# Never together, never thinned: Crystic 197M PA data sheet, Scott Bader; Coronado 25 owner's
# manual p. 83; GlasCraft manual GC-1392 p. 5. Leftovers: Catalyst addition chart, East Coast
# Fibreglass.
POLYESTER = (
    "The catalyst (MEKP) burns skin and can blind: goggles on. In the eye, rinse at once and get "
    "medical help.",
    "Never bring catalyst and accelerator (cobalt) together: they explode. The accelerator is "
    "mixed into the resin first.",
    "Never thin catalyst with acetone or any solvent, nor let them meet: the mix can explode.",
    "Pigment goes in first, then catalyst.",
    "Wipe up spilt catalyst at once, never with sawdust. Rags with catalyst in them can catch "
    "fire by themselves: keep them wet, outdoors.",
)
# Ratio: Epoxy resin properties, forum.swaylocks.com/t/9043. Skin: Mixing epoxy, Sliver
# Paddleboards.
EPOXY = (
    "The ratio is never changed to hurry or slow a cure; a wrong ratio stays soft for ever.",
    "Epoxy can make the skin allergic for life: gloves, and never clean skin with solvent.",
)


def cautions(kind: str) -> tuple[str, ...]:
    return ALWAYS + {"polyester": POLYESTER, "epoxy": EPOXY}[kind]
