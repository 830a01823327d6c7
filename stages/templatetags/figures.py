"""Prints measured figures no finer than they are known. Times come in seconds."""

from django import template

register = template.Library()

HOUR, DAY = 3_600, 86_400


@register.filter
def long_time(seconds: float | None) -> str:
    """12.4 days from two days on, else 31 h, 2.5 h below ten, 45 min below one."""
    if seconds is None:
        return ""
    if seconds >= 2 * DAY:
        return f"{seconds / DAY:.1f} days"
    if seconds < HOUR:
        return f"{round(seconds / 60)} min"
    hours = seconds / HOUR
    return f"{hours:.0f} h" if hours >= 10 else f"{hours:.1f} h"


@register.filter
def days_long(days: float | None) -> str:
    """The same for a time in days."""
    return "" if days is None else long_time(days * DAY)


@register.filter
def minutes_long(minutes: float | None) -> str:
    """45 min, 2.5 h, 31 h: working time, so never in days."""
    if minutes is None:
        return ""
    if minutes < 60:
        return f"{round(minutes)} min"
    hours = minutes / 60
    return f"{hours:.0f} h" if hours >= 10 else f"{hours:.1f} h"


@register.filter
def percent(share: float | None) -> str:
    """79 % of a share of 0 to 1; below 1 % one digit more. What is less than all is never 100 %."""
    if share is None:
        return ""
    if 0.99 < share < 1:
        return "over 99\u00a0%"
    return f"{100 * share:.1f}\u00a0%" if 0 < share < 0.01 else f"{100 * share:.0f}\u00a0%"
