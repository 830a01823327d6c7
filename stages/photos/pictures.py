"""What comes as a picture is drawn anew: upright, no larger than needed, the picture alone.

A phone writes into each photo where it was taken, when, and by which phone. None of that is kept,
whether the device took it out already or not.
"""

from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageOps, UnidentifiedImageError

LONGEST, SMALL = 1600, 480  # pixels of the longer side, as kept and for lists
MOST_BYTES = 25_000_000
MOST_PIXELS = 64_000_000
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
            if image.width * image.height > MOST_PIXELS:
                raise NoPicture("This picture is too large. Send one of at most 64 megapixels.")
            image.draft("RGB", (LONGEST, LONGEST))
            upright = ImageOps.exif_transpose(image)
            upright.thumbnail((LONGEST, LONGEST))
            # A fresh image carries over the pixels and nothing else: no place, no comment.
            clean = Image.new("RGB", upright.size, "white")
            pixels = upright.convert("RGBA") if "transparency" in upright.info else upright
            clean.paste(pixels, mask=pixels.getchannel("A") if "A" in pixels.getbands() else None)
    except NoPicture:
        raise
    except Image.DecompressionBombError:
        raise NoPicture("This picture is too large. Send one of at most 64 megapixels.") from None
    except UnidentifiedImageError:
        raise NoPicture(
            "This file is no picture that can be read. Take a photo, or send a JPEG, PNG or WebP."
        ) from None
    except (OSError, SyntaxError, ValueError):
        raise NoPicture("This picture arrived broken. Take it again.") from None
    small = clean.copy()
    small.thumbnail((SMALL, SMALL))
    return Picture(_jpeg(clean), _jpeg(small), clean.width, clean.height)


def _jpeg(image: Image.Image) -> bytes:
    buffer = BytesIO()
    image.save(buffer, "JPEG", quality=_QUALITY, optimize=True)
    return buffer.getvalue()
