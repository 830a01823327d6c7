"""What comes as a picture is drawn anew: upright, no larger than needed, the picture alone.

A phone writes into each photo where it was taken, when, and by which phone. None of that is kept,
whether the device took it out already or not.
"""

from dataclasses import dataclass
from io import BytesIO

from django.utils.translation import gettext
from PIL import Image, ImageOps, UnidentifiedImageError

LONGEST, SMALL = 1600, 480  # pixels of the longer side, as kept and for lists
MOST_BYTES = 25_000_000
# A plain JPEG is unpacked at a fraction of its size; everything else whole, and some of it (WebP,
# progressive JPEG) several times over. Measured: 300 MB at most for any picture.
MOST_PIXELS = 64_000_000
MOST_PIXELS_WHOLE = 15_000_000
_READ = ("JPEG", "PNG", "WEBP")
_QUALITY = 82


class NoPicture(ValueError):
    """What was sent cannot be kept as a photo; says why, for the one who sent it."""


@dataclass(frozen=True)
class Picture:
    """Two JPEGs of the same photo."""

    whole: bytes
    small: bytes
    width: int
    height: int


def redrawn(file) -> Picture:
    """The picture in an open file. Raises NoPicture."""
    try:
        with Image.open(file, formats=_READ) as image:
            # The header says the size: a picture that would fill the memory is never unpacked.
            _check_size(image, MOST_PIXELS if _plain(image) else MOST_PIXELS_WHOLE)
            image.draft("RGB", (LONGEST, LONGEST))
            _check_size(image, MOST_PIXELS_WHOLE)  # a long narrow one is not made smaller
            image.thumbnail((LONGEST, LONGEST))
            upright = ImageOps.exif_transpose(image)
            # A fresh image carries over the pixels and nothing else: no place, no comment.
            clean = Image.new("RGB", upright.size, "white")
            pixels = upright.convert("RGBA") if "transparency" in upright.info else upright
            clean.paste(pixels, mask=pixels.getchannel("A") if "A" in pixels.getbands() else None)
    except NoPicture:
        raise
    except Image.DecompressionBombError:
        raise NoPicture(_too_large()) from None
    except UnidentifiedImageError:
        raise NoPicture(
            "This file is no picture that can be read. Take a photo, or send a JPEG, PNG or WebP."
        ) from None
    except (OSError, SyntaxError, ValueError):
        raise NoPicture("This picture arrived broken. Take it again.") from None
    small = clean.copy()
    small.thumbnail((SMALL, SMALL))
    return Picture(_jpeg(clean), _jpeg(small), clean.width, clean.height)


def _plain(image: Image.Image) -> bool:
    return image.format in ("JPEG", "MPO") and not image.info.get("progressive")


def _check_size(image: Image.Image, most: int) -> None:
    if image.width * image.height > most:
        raise NoPicture(_too_large())


def _too_large() -> str:
    return gettext(
        "This picture is too large. Send a plain JPEG of at most %(jpeg)d megapixels, or anything "
        "of at most %(other)d."
    ) % {"jpeg": MOST_PIXELS // 1_000_000, "other": MOST_PIXELS_WHOLE // 1_000_000}


def _jpeg(image: Image.Image) -> bytes:
    buffer = BytesIO()
    image.save(buffer, "JPEG", quality=_QUALITY, optimize=True)
    return buffer.getvalue()
