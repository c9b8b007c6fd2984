"""How a test calls a command of a day."""

from collections.abc import Callable

Command = Callable[..., tuple[int, str, str]]
"""The status, the answer and the messages of one call."""
