"""Scan and floor with 100,000 finished boards behind them against 1,000: what history costs."""

from pathlib import Path

from tests.benchmarks.making import make
from tests.benchmarks.report import Check
from tests.benchmarks.scan import scans
from tests.benchmarks.serving import Times, serving, timed

SHORT, LONG = 1_000, 100_000
MOST = 1.2
ROUNDS, SCANS, LOOKS = 6, 80, 25


def looks(made: dict, number: int):
    for _ in range(number):
        yield "GET", "/floor/", None, {"Cookie": f"sessionid={made['session']}"}


def measure(folder: Path) -> list[Check]:
    short = make(folder / "short", on_floor=50, finished=SHORT)
    long = make(folder / "long", on_floor=50, finished=LONG)
    times = {"scan": ([], []), "floor": ([], [])}
    settings = "tests.benchmarks.settings"
    with (
        serving("config.wsgi:application", settings, folder / "short") as port_short,
        serving("config.wsgi:application", settings, folder / "long") as port_long,
    ):
        for port, made in ((port_short, short), (port_long, long)):
            timed(port, scans(made, 0, 40), {303})
            timed(port, looks(made, 10), {200})
        for _ in range(ROUNDS):
            for which, (port, made) in enumerate([(port_short, short), (port_long, long)]):
                times["scan"][which].extend(timed(port, scans(made, 0, SCANS), {303}))
                times["floor"][which].extend(timed(port, looks(made, LOOKS), {200}))
    checks = []
    for what, (few, many) in times.items():
        few, many = Times.of(few), Times.of(many)
        checks.append(
            Check(
                f"{what} with {LONG:,} finished boards against {SHORT:,}",
                many.median / few.median,
                MOST,
                f"{many}; with {SHORT:,}: {few}",
            )
        )
    return checks
