"""The tests that a change of a few files needs, as many as fit half a minute.

Tests mirror the apps, so a changed package's own tests come first, then those that import a changed
module, then those of the packages that import one. What all tests stand on (`tests/world.py`, say)
points at too many of them: then the nearest are taken and the rest is named as not run.
"""

import json
import subprocess
from dataclasses import dataclass
from pathlib import Path

import grimp

from config.bootstrap import ROOT
from tests.suite.outcomes import Outcome

_BUDGET_S = 50.0  # of the processors; two of them share it
_UNKNOWN_S = 3.0  # of a file whose time no whole run has measured
_APPS = ("orders", "stages", "config")
_OF_THE_DEVICE = [f"tests/browser/test_{name}.py" for name in ("bay", "device_fold", "offline")]
_ALWAYS = ["tests/architecture/test_rules.py", "tests/stages/test_whole_path.py"]


@dataclass(frozen=True)
class Chosen:
    """`tests` are files for pytest; `unrun` says what was left out, and why."""

    tests: list[str]
    unrun: list[str]


def choose_tests(data: Path, *, browser: bool) -> Chosen:
    changed = changed_files()
    wanted = related_tests(changed)
    if not browser:
        wanted = [test for test in wanted if not test.startswith("tests/browser/")]
    seconds = _durations(data)
    taken, left, spent = [], [], 0.0
    for file in dict.fromkeys([*_ALWAYS, *wanted]):
        spent += seconds.get(file, _UNKNOWN_S)
        (taken if file in _ALWAYS or spent <= _BUDGET_S else left).append(file)
    unrun = ["everything that no changed file points at: 'manage.py test' runs it"]
    if not changed:
        unrun.append("any test of a change: no file differs from the last commit but one")
    if left:
        unrun.append(f"for want of time, of what the change points at: {', '.join(left)}")
    return Chosen(taken, unrun)


def changed_files() -> list[str]:
    """What differs from the last commit, new files too; on a clean tree, what it changed."""
    status = _git("status", "--porcelain", "--untracked-files=all", "--no-renames")
    return [line[3:] for line in status] or _git("diff", "--name-only", "HEAD~1", "HEAD")


def related_tests(changed: list[str]) -> list[str]:
    """Test files, the nearest first."""
    own = [path for path in changed if _is_test(path) and (ROOT / path).exists()]
    mirrored = [test for path in changed for test in _mirrored(path)]
    importing = _importing([path for path in changed if path.endswith(".py")])
    return list(dict.fromkeys([*own, *mirrored, *importing]))


def _is_test(path: str) -> bool:
    return path.startswith("tests/") and Path(path).name.startswith("test_")


def _mirrored(path: str) -> list[str]:
    """`stages/mixing/actions.py`, `templates/stages/mixing/pot.html` and `static/js/mixing.js` all
    have their tests in `tests/stages/mixing/` or in files named after them."""
    parts = [one for one in Path(path).with_suffix("").parts if one not in ("templates", "static")]
    if parts[:1] == ["tests"]:
        folder = ROOT / Path(path).parent  # a conftest or a helper of the tests beside it
        return _files(folder, "test_*.py") if folder != ROOT / "tests" else []
    if parts[:1] in (["js"], ["css"]):
        named = [file for part in parts[1:] for file in _named_after(part, "tests/browser")]
        device = _OF_THE_DEVICE if parts[1:2] == ["scan"] else []
        return [*named, *device, "tests/browser/test_whole_job.py"]
    if parts[:1] and parts[0] in _APPS and len(parts) > 1:
        mirror = ROOT / "tests" / parts[0] / parts[1]
        return _files(mirror, "test_*.py") + _named_after(parts[1], "tests")
    return []


def _named_after(word: str, folder: str) -> list[str]:
    return _files(ROOT / folder, f"**/test_*{word.rstrip('s')}*.py") if len(word) > 2 else []


def _files(folder: Path, pattern: str) -> list[str]:
    return [str(path.relative_to(ROOT)) for path in sorted(folder.glob(pattern))]


def _importing(changed: list[str]) -> list[str]:
    """Test modules that import a changed module, then the tests of packages that import one."""
    graph = grimp.build_graph("tests", *_APPS, cache_dir=None)
    modules = {_module(path) for path in changed} & graph.modules
    direct = {user for one in modules for user in graph.find_modules_that_directly_import(one)}
    tests = sorted(_path(user) for user in direct if user.startswith("tests."))
    packages = sorted({_path(user) for user in direct if not user.startswith("tests.")})
    mirrored = [test for path in packages for test in _mirrored(path)]
    return [test for test in [*tests, *mirrored] if _is_test(test)]


def _module(path: str) -> str:
    return path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


def _path(module: str) -> str:
    return module.replace(".", "/") + ".py"


def remember_durations(data: Path, runs: list[dict[str, Outcome]]) -> None:
    """Seconds by test file, for the next choice."""
    seconds: dict[str, float] = {}
    for run in runs:
        for one in run.values():
            file = one.test.split("::")[0]
            seconds[file] = seconds.get(file, 0.0) + one.seconds
    (data / "durations.json").write_text(json.dumps(seconds, indent=1))


def _durations(data: Path) -> dict[str, float]:
    path = data / "durations.json"
    return json.loads(path.read_text()) if path.exists() else {}


def _git(*words: str) -> list[str]:
    asked = subprocess.run(["git", *words], cwd=ROOT, capture_output=True, text=True)
    return [line for line in asked.stdout.splitlines() if line]
