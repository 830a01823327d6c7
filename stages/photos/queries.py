"""The photos of boards, for pages."""

from stages.photos.models import Photo


def photos_of(board) -> list[Photo]:
    """With who took each and where; one query."""
    return list(Photo.objects.filter(board=board).select_related("by", "stage"))


def for_rider(board) -> list[Photo]:
    return list(Photo.objects.filter(board=board, for_rider=True))
