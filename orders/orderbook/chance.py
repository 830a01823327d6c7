"""How a chance is written: the one place that rounds it."""


def whole_percent(chance: float) -> int:
    """Rounded down: nothing is told surer than it is."""
    return int(chance * 100 + 1e-9)  # 0.29 is a little less than 29 hundredths


def chance_words(chance: float) -> str:
    """41 %; never as certain either way: under 1 %, over 99 %."""
    if chance < 0.01:
        return "under 1\u00a0%"
    return "over 99\u00a0%" if chance > 0.99 else f"{whole_percent(chance)}\u00a0%"
