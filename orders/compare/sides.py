"""What can be laid beside what: a board's spec revision, or a design's version."""

import re
from dataclasses import dataclass

from django.urls import reverse

from orders.designs.models import DesignVersion
from orders.designs.queries import latest_versions
from orders.specs.models import BoardNumbers, SpecRevision

_KEY = re.compile(r"(spec|version):([0-9]{1,9})")
_BOARD = re.compile(
    r"(?:board\s*)?#?\s*([0-9]{1,9})(?:\s*,?\s*(?:/|rev\.?|revision)\s*([0-9]{1,9}))?", re.I
)
_DESIGN = re.compile(r"(.+?)(?:\s*,?\s+v(?:ersion)?\.?\s*([0-9]{1,9}))?", re.I)
_TYPE = "Type a board number such as 1042, or a design's name."
_LISTED = 5


class SideError(ValueError):
    """Nothing to compare by that text; the message is a sentence for a person."""


@dataclass(frozen=True)
class Side:
    """`key` is its text in an address, `name` what people call it; either finds it again."""

    key: str
    name: str
    spec: BoardNumbers

    @property
    def address(self) -> str:
        """Its own page; none for a design's version."""
        return reverse("spec", args=[self.spec.pk]) if self.key.startswith("spec") else ""


def side_of(spec: BoardNumbers) -> Side:
    if isinstance(spec, SpecRevision):
        return Side(f"spec:{spec.pk}", f"Board {spec.board.number} rev {spec.number}", spec)
    return Side(f"version:{spec.pk}", f"{spec.design.name} v{spec.number}", spec)


def find_side(text: str) -> Side:
    """The spec or version meant by a key, a board number or a design's name.

    Without a revision or a version it is the one that stands now.
    """
    text = " ".join(text.split())
    if not text:
        raise SideError(_TYPE)
    if key := _KEY.fullmatch(text):
        found = (_specs() if key[1] == "spec" else _versions()).filter(pk=int(key[2])).first()
        if found is None:
            raise SideError(f"There is no such {key[1]}. {_TYPE}")
        return side_of(found)
    board = _BOARD.fullmatch(text)
    if board and (found := _spec_of(*board.groups())):
        return side_of(found)
    if found := _version_of(*_DESIGN.fullmatch(text).groups()):
        return side_of(found)
    raise SideError(f"No board or design is called {text}. {_TYPE}")


def _specs():
    return SpecRevision.objects.select_related("board", "design_version__design")


def _versions():
    return DesignVersion.objects.select_related("design")


def _spec_of(number: str, revision: str | None) -> SpecRevision | None:
    specs = _specs().filter(board__number=int(number))
    if revision:
        return specs.filter(number=int(revision)).first()
    return specs.order_by("-number").first()


def _version_of(name: str, number: str | None) -> DesignVersion | None:
    """Of the design called so, or of the only one whose name holds `name`."""
    versions = _versions().order_by("design__name", "-number")
    if number:
        versions = versions.filter(number=int(number))
    exact = versions.filter(design__name__iexact=name).first()
    if exact is not None:
        return exact
    alike = versions.filter(design__name__icontains=name)
    names = list(alike.order_by("design__name").values_list("design__name", flat=True).distinct())
    if len(names) > 1:
        listed = ", ".join(names[:_LISTED]) + (" and more" if len(names) > _LISTED else "")
        raise SideError(f"Several designs are called so: {listed}. Type more of the name.")
    return alike.first()


def offered() -> list[str]:
    """The house's designs as they stand now, for the field's list."""
    return [side_of(version).name for version in latest_versions()]
