"""How a difference is written. Pure."""


def signed(number: float, decimals: int) -> str:
    """+1.2, -0.4, or 0.0: nothing has no sign."""
    said = f"{number:+.{decimals}f}"
    return said[1:] if float(said) == 0 else said
