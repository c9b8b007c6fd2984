"""The names under which the ledger keeps things."""

from kitprep.definitions.loading import Day


def job_name(day: Day) -> str:
    """The name under which a day's events are kept: its kit, its date, and its own name if any."""
    name = f"{day.kit.kit}/{day.plan.day.isoformat()}"
    return f"{name}/{day.plan.job}" if day.plan.job else name
