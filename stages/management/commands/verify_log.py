"""manage.py verify_log: does every screen's row follow from the log?"""

import sys

from django.core.management.base import BaseCommand, CommandError

from stages.log.verify import verify


class Command(BaseCommand):
    help = "Fold the log again and compare it with what the screens read. Exits 1 if any differs."

    def add_arguments(self, parser):
        parser.add_argument("--board", type=int, metavar="N", help="only this board number")

    def handle(self, *, board, **options):
        boards = entries = different = 0
        for verdict in verify(number=board):
            boards += 1
            entries += verdict.entries
            different += bool(verdict.differences)
            for sentence in verdict.differences:
                self.stdout.write(f"Board {verdict.number}: {sentence}")
        if board is not None and not boards:
            raise CommandError(f"There is no board {board}.")
        counted = f"{_many(boards, 'board')}, {_many(entries, 'entry', 'entries')}"
        if different:
            self.stdout.write(f"{counted}: {_many(different, 'board')} not as the log has it.")
            sys.exit(1)
        self.stdout.write(f"{counted}: every row is as the log has it.")


def _many(count: int, one: str, more: str = "") -> str:
    return f"{count} {one if count == 1 else more or one + 's'}"
