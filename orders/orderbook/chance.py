def whole_percent(chance: float) -> int:
    """Rounded down: nothing is told surer than it is, and never rounded up to certainty."""
    return int(chance * 100 + 1e-9)  # 0.29 is a little less than 29 hundredths
