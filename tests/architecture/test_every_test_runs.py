"""No test is left out: each is where pytest finds it, and the short or the long form runs it."""

import ast
from itertools import product
from pathlib import Path

import pytest

from tests.benchmarks import long
from tests.suite import parts

TESTS = Path(__file__).resolve().parents[1]
FILES = sorted(TESTS.rglob("*.py"))
MARKS = ("browser", "long", "postgresql", "django_db", "hypothesis")


def names_in(path: Path) -> list[str]:
    """Names of the functions that pytest would take for tests if it looked into this file."""
    body = ast.parse(path.read_text()).body
    inner = [node for one in body if isinstance(one, ast.ClassDef) for node in one.body]
    return [
        node.name
        for node in [*body, *inner]
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and node.name.startswith("test_")
    ]


def selected(expression: str, marks: dict[str, bool]) -> bool:
    return eval(expression, {"__builtins__": {}}, marks)  # noqa: S307, an expression of our own


def test_the_files_with_tests_are_there():
    assert sum(len(names_in(path)) for path in FILES) > 1500


@pytest.mark.parametrize(
    "path", [p for p in FILES if names_in(p)], ids=lambda p: str(p.relative_to(TESTS))
)
def test_pytest_looks_into_every_file_that_holds_a_test(path):
    assert path.name.startswith("test_"), f"pytest does not collect {path.name}"
    assert "benchmarks" not in path.parts, "tests/benchmarks is no folder of tests"
    names = names_in(path)
    assert len(names) == len(set(names)), "of two tests of one name only the last one runs"
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.ClassDef) and any(
            getattr(inner, "name", "").startswith("test_") for inner in node.body
        ):
            assert node.name.startswith("Test"), f"pytest does not look into {node.name}"
        named = node.id if isinstance(node, ast.Name) else ""
        assert named not in {"__test__", "collect_ignore", "collect_ignore_glob"}


@pytest.mark.parametrize("flags", list(product([False, True], repeat=len(MARKS))), ids=str)
def test_whatever_its_marks_a_test_is_in_the_short_or_in_the_long_form(flags):
    marks = dict(zip(MARKS, flags, strict=True))
    short = [name for name, expression in parts.SELECTION.items() if selected(expression, marks)]
    in_long = selected(long.SELECTION, marks)
    assert short or in_long
    assert (parts.BROWSER in short) <= marks["browser"]
    assert not (marks["long"] and short), "what is in the long form makes no run longer"
    assert marks["long"] <= in_long


def test_a_browser_test_stands_where_its_part_looks():
    """`tests/browser` marks what lies in it; marked elsewhere, a test would be in neither part."""
    outside = [path for path in FILES if "browser" not in path.parts and "suite" not in path.parts]
    marked = [path.name for path in outside if "mark.browser" in path.read_text()]
    assert [name for name in marked if name != Path(__file__).name] == []
