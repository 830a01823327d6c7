"""A moving picture for the browser's camera: a hand brings a printed paper in front of it."""

import io
import random
from pathlib import Path

import numpy as np
import pypdfium2 as pdfium
from PIL import Image, ImageFilter

WIDE, HIGH = 800, 600
FRAMES, BENCH = 24, 4  # of them the first few show the bench alone
PIXELS_PER_MM = 4  # a paper held at about two hands' breadth
GREY = 96


def printed(pdf: bytes) -> Image.Image:
    """The first page as paper."""
    page = pdfium.PdfDocument(pdf)[0]
    return page.render(scale=PIXELS_PER_MM * 25.4 / 72).to_pil().convert("L")


def film(paper: Image.Image, path: Path) -> Path:
    """Motion JPEG: an empty bench, then the paper, turned, blurred, unevenly lit and noisy."""
    chance = random.Random(7)
    noise = np.random.default_rng(7).normal(0, 12, (HIGH, WIDE)).astype("float32")
    light = np.linspace(0.72, 1.0, WIDE, dtype="float32")[None, :]
    with path.open("wb") as out:
        for number in range(FRAMES):
            scene = Image.new("L", (WIDE, HIGH), GREY)
            if number >= BENCH:
                _lay(scene, paper, (number - BENCH) / (FRAMES - BENCH), chance)
            seen = np.asarray(scene) * light + np.roll(noise, 7919 * number)
            frame = Image.fromarray(seen.clip(0, 255).astype("uint8")).convert("RGB")
            packed = io.BytesIO()
            frame.save(packed, "JPEG", quality=70)
            out.write(packed.getvalue())
    return path


def _lay(scene, paper, along, chance):
    """`along` is how far the hand is, 0 to 1: from below, turning, passing the middle."""
    turned = paper.rotate(-24 + 48 * along, expand=True, fillcolor=GREY)
    turned = turned.filter(ImageFilter.GaussianBlur(0.6 + abs(chance.gauss(0, 0.5))))
    x = (WIDE - turned.width) // 2 + chance.randint(-12, 12)
    y = int(HIGH - (turned.height + HIGH * 0.2) * along) + chance.randint(-12, 12)
    scene.paste(turned, (x, y))
