"""How a test of ``kitprep import`` calls it."""

from collections.abc import Callable

Import = Callable[..., tuple[int, str, str]]
"""The status, the answer and the messages of one call."""
