"""How a test of ``kitprep new`` calls it."""

from collections.abc import Callable

New = Callable[..., tuple[int, str, str]]
"""The status, the answer and the messages of one call."""
