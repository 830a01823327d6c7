"""A drawing that would take for ever, or all the memory, is stopped, and stops nobody."""

import io
import os
import threading
from dataclasses import replace

import ezdxf
import pytest
from django.db import connection

from orders.cutfiles import actions, process
from orders.cutfiles.models import CutFile
from orders.cutfiles.process import TOO_MUCH, compare_apart
from orders.cutfiles.reading import Unreadable
from orders.shape.dxf import board_dxf
from orders.shape.outline import OutlineError
from tests.orders.cutfiles.test_compare import SQUASH, compare
from tests.orders.cutfiles.test_cut_files import added, desk, upload


def copies(in_block: int, of_block: int) -> bytes:
    document = ezdxf.new("R2010")
    block = document.blocks.new("A")
    for at in range(in_block):
        block.add_point((at, 0))
    for at in range(of_block):
        document.modelspace().add_blockref("A", (at, 0))
    out = io.StringIO()
    document.write(out)
    return document.encode(out.getvalue())


def test_it_measures_what_is_measured_without_it():
    content = board_dxf(SQUASH, fin_setup="three_fin")
    assert compare_apart("board.dxf", content, SQUASH) == compare(content, SQUASH)


def test_what_blocks_expand_to_is_counted_whatever_it_is():
    """300 points in a block, which are no part of any outline, are 900,000 in 3,000 copies."""
    with pytest.raises(Unreadable, match="too many parts"):
        compare_apart("board.dxf", copies(300, 3000), SQUASH)


def hostile_read(monkeypatch, tmp_path, code: str) -> None:
    """The process meets `code` where it would read the file."""
    (tmp_path / "sitecustomize.py").write_text(
        "import sys\n"
        "if any('orders.cutfiles' in word for word in sys.orig_argv):\n"
        "    import orders.cutfiles.reading as reading\n"
        f"    def read_outline(name, content):\n        {code}\n"
        "    reading.read_outline = read_outline\n"
    )
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join([str(tmp_path), str(process._ROOT)]))


@pytest.mark.parametrize(
    ("code", "limits"),
    [
        ("while True: pass", {"CPU_SECONDS": 1, "WALL_SECONDS": 600}),
        ("import time; time.sleep(600)", {"WALL_SECONDS": 1}),
        ("bytearray(2_000_000_000)", {}),
        ("read_outline(name, content)", {}),
        ("import ctypes; ctypes.string_at(0)", {}),
    ],
    ids=["computes", "sleeps", "memory", "recursion", "crash"],
)
def test_a_file_that_takes_too_much_is_stopped_and_says_so(monkeypatch, tmp_path, code, limits):
    for name, value in limits.items():
        monkeypatch.setattr(process, name, value)
    hostile_read(monkeypatch, tmp_path, code)
    with pytest.raises(Unreadable) as told:
        compare_apart("board.svg", b"<svg/>", SQUASH)
    assert str(told.value) == TOO_MUCH


def test_numbers_that_give_no_outline_are_told_as_such():
    content = board_dxf(SQUASH, fin_setup="three_fin")
    with pytest.raises(OutlineError):
        compare_apart("board.dxf", content, replace(SQUASH, width_mm=1.0))


@pytest.mark.django_db
def test_nothing_is_compared_inside_a_transaction(world, monkeypatch):
    board, depth = world.ordered(), len(connection.savepoint_ids)

    def compare(name, content, numbers):
        assert len(connection.savepoint_ids) == depth
        raise Unreadable("looked at")

    monkeypatch.setattr(actions, "compare_apart", compare)
    assert added(world, board, b"<svg/>", "a.svg").compared == {"why_not": "looked at"}


@pytest.mark.django_db
def test_more_files_at_once_than_may_be_are_asked_for_again(world, monkeypatch):
    monkeypatch.setattr(process, "_places", threading.BoundedSemaphore(1))
    board = world.ordered()
    with process._places:
        answer = upload(desk(world.cleo), board.spec, b"<svg/>", "a.svg")
    assert answer.status_code == 422 and actions.BUSY in answer.content.decode()
    assert not CutFile.objects.exists()
