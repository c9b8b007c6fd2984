"""Where the demo job and the reference tables are: beside the code, in a clone and in a wheel."""

from pathlib import Path

_PACKAGE = Path(__file__).parent


def bundle() -> Path:
    """The folder that holds ``kits`` and ``shared``: inside an installed package, or the clone."""
    installed = _PACKAGE / "bundle"
    return installed if installed.is_dir() else _PACKAGE.parent


def demo_plan(number: int = 1) -> Path:
    """A day of the demo job, from 1."""
    return bundle() / "kits" / "harbour-of-foxes" / f"day-{number:02d}.toml"
