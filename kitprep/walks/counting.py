"""What a number means that was typed, pasted or scanned as a count."""

MOST = 100_000
"""As many as a kit's file may say that there are of a thing."""


def read_count(text: str) -> int | None:
    """A count in digits, from 0 on; None where it is none, or more than anything comes in."""
    digits = text.strip()
    if not digits.isdecimal():
        return None
    digits = digits.lstrip("0") or "0"  # int() itself takes no more than 4300 of them
    return int(digits) if len(digits) <= len(str(MOST)) and int(digits) <= MOST else None
