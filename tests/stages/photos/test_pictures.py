"""What is kept of a picture: the picture, upright, and nothing else."""

import random
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import pytest
from django.conf import settings
from PIL import Image

from stages.photos.pictures import LONGEST, SMALL, NoPicture, redrawn
from tests.stages.photos.making import bomb, phones_photo, picture


def opened(data: bytes) -> Image.Image:
    return Image.open(BytesIO(data))


def test_the_phones_photo_of_this_test_does_carry_a_place_and_a_turn():
    exif = opened(phones_photo()).getexif()
    assert exif[0x0112] == 6
    assert exif.get_ifd(0x8825)


def test_a_photo_is_turned_upright():
    # Orientation 6 (Exif 2.32, table 6): the first row is the right side, so the left becomes top.
    kept = redrawn(BytesIO(phones_photo((400, 300))))
    image = opened(kept.whole)
    assert (image.width, image.height) == (kept.width, kept.height) == (300, 400)
    top, bottom = image.getpixel((150, 60)), image.getpixel((150, 340))
    assert top[0] > 200 > 60 > top[2]
    assert bottom[2] > 200 > 60 > bottom[0]


@pytest.mark.parametrize("which", ["whole", "small"])
def test_the_place_the_phone_and_the_comment_are_gone(which):
    data = getattr(redrawn(BytesIO(phones_photo())), which)
    image = opened(data)
    assert not image.getexif()
    assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    for told in (b"Exif", b"GPS", b"A phone", b"taken at home", b"2026:03:02"):
        assert told not in data


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_what_browsers_send_becomes_a_jpeg_of_at_most_1600_pixels(kind):
    kept = redrawn(BytesIO(picture((3200, 2000), kind=kind)))
    whole, small = opened(kept.whole), opened(kept.small)
    assert whole.format == small.format == "JPEG"
    assert max(whole.size) == LONGEST
    assert max(small.size) == SMALL


def test_what_is_see_through_becomes_white():
    buffer = BytesIO()
    Image.new("RGBA", (60, 60), (0, 0, 0, 0)).save(buffer, "PNG")
    buffer.seek(0)
    assert min(opened(redrawn(buffer).whole).getpixel((30, 30))) > 250


def test_a_picture_that_would_fill_the_memory_is_refused_unopened():
    data = bomb()
    assert len(data) < 1_000_000
    with pytest.raises(NoPicture, match="too large"):
        redrawn(BytesIO(data))


@pytest.mark.parametrize(
    "data",
    [b"", b"hello", b"%PDF-1.7 ...", b"<svg xmlns='http://www.w3.org/2000/svg'/>", b"\x89PNG\r\n"],
)
def test_what_is_no_picture_is_refused_in_words(data):
    with pytest.raises(NoPicture, match="no picture|broken"):
        redrawn(BytesIO(data))


def test_another_kind_of_picture_is_not_opened():
    buffer = BytesIO()
    Image.new("RGB", (10, 10)).save(buffer, "TIFF")
    buffer.seek(0)
    with pytest.raises(NoPicture, match="no picture"):
        redrawn(buffer)


@pytest.mark.filterwarnings("ignore::UserWarning")  # Pillow's words on spoilt EXIF data
def test_half_a_photo_is_refused_and_noise_never_breaks_it():
    with pytest.raises(NoPicture, match="broken"):
        redrawn(BytesIO(picture((800, 600), quality=95)[:3000]))
    rng = random.Random(7)
    whole = bytearray(phones_photo())
    for _ in range(200):
        spoilt = bytearray(whole)
        for _ in range(20):
            spoilt[rng.randrange(len(spoilt))] = rng.randrange(256)
        try:
            redrawn(BytesIO(bytes(spoilt)))
        except NoPicture:
            continue


# The peak of one process, in a fresh one: this one's own is what other tests made of it.
_PEAK = """
import re, sys
from io import BytesIO
from stages.photos.pictures import NoPicture, redrawn
peak = lambda: int(re.search(r"VmHWM:\\s+(\\d+)", open("/proc/self/status").read())[1]) / 1000
before, data = peak(), BytesIO(sys.stdin.buffer.read())
try:
    redrawn(data)
except NoPicture:
    pass
print(peak() - before)
"""


def _saved(image, **how) -> bytes:
    out = BytesIO()
    image.save(out, **how)
    return out.getvalue()


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="Linux tells a process's peak")
@pytest.mark.parametrize(
    ("mode", "size", "how"),
    [
        ("RGBA", (8000, 8000), {"format": "WEBP", "lossless": True}),  # 2.5 KB
        ("RGBA", (3870, 3870), {"format": "WEBP", "lossless": True}),
        ("CMYK", (64_000, 1000), {"format": "JPEG"}),
        ("RGB", (7990, 7990), {"format": "JPEG"}),
    ],
    ids=["webp too large", "webp", "strip", "photo"],
)
def test_no_picture_costs_more_than_300_mb(mode, size, how):
    asked = subprocess.run(
        [sys.executable, "-c", _PEAK],
        input=_saved(Image.new(mode, size), **how),
        capture_output=True,
        check=True,
        cwd=settings.BASE_DIR,
    )
    assert float(asked.stdout) < 300
