"""Makes the virtual environment on a machine that has only Python. Standard library only."""

import hashlib
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
OLDEST = (3, 11)


def ensure_environment(argv: list[str]) -> None:
    """Run on, or start again inside .venv with everything installed. Exits with a sentence."""
    if sys.version_info < OLDEST:
        sys.exit("Rackbound needs Python 3.11 or newer. Install it, then run this again with it.")
    command = argv[1] if len(argv) > 1 else ""
    own = command in {"run", "test", "benchmark"}
    if not own and not VENV.exists() and _has_django():
        return  # somebody else's environment, with everything in it
    extras = ["test"] if command in {"test", "benchmark"} else []
    if os.environ.get("RACKBOUND_DATABASE"):
        extras.append("postgresql")
    _install(extras)
    python = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if Path(sys.prefix).resolve() != VENV.resolve():
        sys.stdout.flush()
        os.execv(python, [str(python), *argv])


def _has_django() -> bool:
    try:
        import django  # noqa: F401
    except ImportError:
        return False
    return True


def _install(extras: list[str]) -> None:
    """Make .venv and install what pyproject.toml names, unless that was done already."""
    python = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    wanted = hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest()
    done = VENV / ".installed"
    have = done.read_text().split() if done.exists() else []
    if python.exists() and wanted in have and set(extras) <= set(have):
        return
    if not python.exists():
        print("Making .venv ...", flush=True)
        made = subprocess.run(
            [sys.executable, "-m", "venv", str(VENV)], capture_output=True, text=True
        )
        if made.returncode:
            sys.exit(
                "This Python cannot make a virtual environment. On Debian or Ubuntu run "
                "'apt-get install python3-venv', remove .venv, and run this again.\n"
                + (made.stdout + made.stderr).strip().splitlines()[-1]
            )
    print("Installing what Rackbound needs ...", flush=True)
    extras = sorted(set(extras) | {word for word in have if word in {"test", "postgresql"}})
    import tomllib  # not there before 3.11, whose absence is reported above

    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    parts = [*project["dependencies"]]
    for extra in extras:
        parts += project["optional-dependencies"][extra]
    installed = subprocess.run(
        [str(python), "-m", "pip", "install", "--quiet", "--disable-pip-version-check", *parts]
    )
    if installed.returncode:
        sys.exit(
            "Installing failed: the lines above say why. Rackbound needs the network once, to "
            "fetch its parts; run this again when it is there."
        )
    done.write_text("\n".join([wanted, *extras]))
