"""Why work on a board stops. What can be wrong with one: stages.defects."""

HOLD_REASONS = (
    "damaged",
    "the numbers are not clear",
    "waiting for material",
    "waiting for the customer",
)
