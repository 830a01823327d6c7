"""What this feature adds to a board's page in the bay."""


def part_of(ticket, position, *, user, now):
    """None where there is nothing to show."""
    return None
