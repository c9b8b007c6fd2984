"""How a test of ``kitprep labels`` calls it."""

from collections.abc import Callable

Labels = Callable[..., tuple[int, str, str]]
"""The status, the answer and the messages of one call."""
