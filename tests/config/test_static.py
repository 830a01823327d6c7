"""What a browser is given in production, where every file's name changes with its content."""

import json
import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
IMPORTED = re.compile(r"""(?:from|import)\s*["'](\.[^"']+)["']""")


def test_a_module_has_one_name_whoever_asks_for_it(tmp_path):
    """Under two names it would run twice, and without signal one of them would be missing.

    Modules that import each other in a circle have no such name at all, and fail here.
    """
    answer = subprocess.run(
        [sys.executable, "manage.py", "collectstatic", "--noinput"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        env={
            "PATH": "/usr/bin:/bin",
            "RACKBOUND_DATA": str(tmp_path),
            "DJANGO_SETTINGS_MODULE": "config.settings",
        },
    )
    assert answer.returncode == 0, answer.stderr[-2000:]
    static = (tmp_path / "static").resolve()
    names = json.loads((static / "staticfiles.json").read_text())["paths"].values()
    asked = [
        (name, str((static / name).parent.joinpath(found).resolve().relative_to(static)))
        for name in names
        if name.endswith(".js")
        for found in IMPORTED.findall((static / name).read_text())
    ]
    assert len(asked) > 5
    assert not [(by, found) for by, found in asked if found not in names]
