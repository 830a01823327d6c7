"""manage.py load_demo: an invented factory to look around in."""

from django.core.management.base import BaseCommand
from django.utils import timezone

from stages.demo.load import demo_sign_ins, load_demo, may_load_demo


class Command(BaseCommand):
    help = "Load an invented factory with a past, where nothing was entered yet."

    def add_arguments(self, parser):
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--finished", type=int, default=1200, metavar="BOARDS")

    def handle(self, *, seed, finished, **options):
        if not may_load_demo():
            self.stdout.write(
                "This factory has orders, customers, designs or people of its own, "
                "so no demo was loaded."
            )
            return
        loaded = load_demo(timezone.now(), seed=seed, finished=finished)
        states = ", ".join(
            f"{count} {state.replace('_', ' ')}" for state, count in loaded.states.items()
        )
        self.stdout.write(
            f"Gannet Rock Boards in Skarvika is loaded: {loaded.finished} boards handed over, "
            f"{loaded.on_floor} on the floor ({states}), {loaded.unreleased} in the order book."
        )
        self.stdout.write("Sign in with these, for the demo only:")
        for way in demo_sign_ins():
            pin = f", PIN {way.pin}" if way.role == "Crew" else ""
            self.stdout.write(f"  {way.username:5} {way.role:8} {way.password}{pin}")
