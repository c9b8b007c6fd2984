"""Where the demo job and the reference tables are: beside the code, in a clone and in a wheel."""

from pathlib import Path

_PACKAGE = Path(__file__).parent


def bundle() -> Path:
    """The folder that holds ``kits`` and ``shared``: inside an installed package, or the clone."""
    installed = _PACKAGE / "bundle"
    return installed if installed.is_dir() else _PACKAGE.parent


def reference_table(name: str) -> str:
    """The text of a reference table, such as "cells.toml"."""
    return (bundle() / "shared" / name).read_text("utf-8")


def is_bundled(path: Path) -> bool:
    """Whether a file, there or not, is one of the demo's or of the reference tables'."""
    return any(path.resolve().is_relative_to((bundle() / n).resolve()) for n in ("kits", "shared"))


def demo_plan(number: int = 1) -> Path:
    """A day of the demo job, from 1."""
    return bundle() / "kits" / "harbour-of-foxes" / f"day-{number:02d}.toml"
