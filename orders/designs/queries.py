"""House designs and their versions."""

from django.db.models import F, OuterRef, Prefetch, Q, QuerySet, Subquery

from orders.designs.models import Design, DesignVersion


def latest_versions(*, also: int | None = None) -> QuerySet[DesignVersion]:
    """The newest version of every design the house still makes, and the one with key `also`."""
    newest = (
        DesignVersion.objects.filter(design=OuterRef("design"))
        .order_by("-number")
        .values("pk")[:1]
    )
    return (
        DesignVersion.objects.filter(Q(pk=Subquery(newest), design__retired_at=None) | Q(pk=also))
        .select_related("design")
        .order_by("design__name", "number")
    )


def designs_with_versions() -> QuerySet[Design]:
    """Newest version first within each design; retired designs last."""
    versions = DesignVersion.objects.order_by("-number")
    return Design.objects.prefetch_related(Prefetch("versions", queryset=versions)).order_by(
        F("retired_at").asc(nulls_first=True), "name"
    )
