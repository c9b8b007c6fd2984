"""One module a screen, each answering one question at a glance."""

from collections.abc import Callable
from typing import Any

from textual.screen import Screen


def screen_modes() -> dict[str, str | Callable[[], Screen[Any]]]:
    """Each screen by its name, made when it is first opened."""

    def day() -> Screen[Any]:
        from kitprep.tui.screens.day import DayScreen

        return DayScreen()

    def scene() -> Screen[Any]:
        from kitprep.tui.screens.scene import SceneScreen

        return SceneScreen()

    def power() -> Screen[Any]:
        from kitprep.tui.screens.power import PowerScreen

        return PowerScreen()

    def pack() -> Screen[Any]:
        from kitprep.tui.screens.pack import PackScreen

        return PackScreen()

    def check() -> Screen[Any]:
        from kitprep.tui.screens.check import CheckScreen

        return CheckScreen()

    def wrap() -> Screen[Any]:
        from kitprep.tui.screens.wrap import WrapScreen

        return WrapScreen()

    def log() -> Screen[Any]:
        from kitprep.tui.screens.log import LogScreen

        return LogScreen()

    return {f.__name__: f for f in (day, scene, power, pack, check, wrap, log)}
