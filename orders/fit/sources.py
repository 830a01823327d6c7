"""Who published the guidance, and how far to trust it.

Grades: B trade press, trade supplier or school; C forum post, blog or seller's guide; P common
practice, no source. None of these is a measurement: they are rules of thumb, so they are shown
side by side and never averaged.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Source:
    title: str
    address: str
    grade: str

    @property
    def kind(self) -> str:
        """What the grade means, for a reader."""
        return {"B": "trade press or school", "C": "blog, forum or shop", "P": ""}[self.grade]


PRACTICE = Source("common practice, no source", "", "P")
RATIO_ARTICLE = Source(
    "Volume ratio article, SurferToday", "https://www.surfertoday.com/surfing/10727", "B"
)
VOLUME_THREAD = Source(
    "Board volume thread, Swellinfo forum",
    "https://www.swellinfo.com/forum/printthread.php?t=20772&pp=10&page=2",
    "C",
)
BOARD_ARTICLE = Source(
    "Finding the right board, Prime Surfing magazine (in German)",
    "https://prime-surfing.de/das-perfekte-surfboard-finden-pid8927/2",
    "B",
)
# The magazine's list of well-known riders: 0.333, 0.351, 0.360 and 0.367 L/kg. One line of it is
# misprinted (2.7 kg/L for 58 kg on 27.1 L, which is 2.14) and is left out.
RIDERS_ARTICLE = Source(
    "Volume of your board, Prime Surfing magazine (in German)",
    "https://prime-surfing.de/alles-was-ihr-ueber-das-volumen-eures-surfboards-schon-immer-"
    "wissen-wolltet-und-solltet-pid33036/2/",
    "B",
)
FIRST_BOARD_PT = Source(
    "Choosing a first board, Monomi (in Portuguese)",
    "https://monomi.com.br/como-escolher-primeira-prancha-surf",
    "C",
)
WETSUIT_BOOK = Source("Flow, Essential Surfing", "https://essentialsurfing.com/flow", "B")
SMALL_WAVE_NOTES = Source(
    "Small wave design notes", "https://surfersteve.com/smwavedesign.htm", "C"
)
FIRST_BOARD_ES = Source(
    "Choosing your first board, Todosurfers (in Spanish)",
    "https://todosurfers.blogspot.com/2013/05/como-elegir-tu-primera-tabla-de-surf.html",
    "C",
)
LONGBOARD_THREAD = Source(
    "Longboard thread, Swaylocks forum",
    "https://forum.swaylocks.com/t/oh-my-its-very-long-she-said/30996",
    "C",
)
SCHOOL = Source(
    "Going from a soft top, surf lessons in Oceanside",
    "https://surflessonsinoceanside.com/going-from-soft-top-to-short-surf-boards",
    "B",
)
CLASS_LITRES = Source(
    "What volume has to do with surfing, Surf Skate Science",
    "https://www.surfskatescience.com/post/what-does-volume-have-to-do-with-surfing",
    "C",
)
LEARNERS_BLOG = Source(
    "Why start on a longer board, We Are Surfer",
    "https://www.wearesurfer.net/2014/05/why-surf-mini-long-board-before-short.html",
    "C",
)
# A retailer's guide: named by what it is.
SHORTBOARD_GUIDE = Source(
    "How to choose a shortboard, a retailer's guide",
    "http://redesign.swimoutlet.com/guides/how-to-choose-a-shortboard-for-surfing",
    "C",
)
TYPES_SCHOOL = Source(
    "Types of surfboard, Surfmasters", "http://surfmasters.co.uk/types-of-surf-boards/", "C"
)
TYPES_BLOG = Source(
    "How surfboards started, We Are Surfers",
    "https://wearesurfers.blogspot.com/2014/07/how-surfboards-really-started.html",
    "C",
)
FISH_ARTICLE = Source(
    "Modern and traditional fish surfboards",
    "https://www.yloan.com/Modern-and-Traditional-Fish-Surfboards-t137115.html",
    "C",
)
