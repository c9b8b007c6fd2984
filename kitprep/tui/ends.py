"""Ends that nobody chose: signals, and a terminal that goes away."""

import asyncio
import os
import signal

from textual.app import App

from kitprep.tui.terminal import terminal_gone


class EndsApp(App[int]):
    """An app that leaves the terminal as it was, whatever ends it."""

    def watch_for_ends(self) -> None:
        """From here on it heeds signals, and looks whether its terminal is there."""
        if self.is_headless:
            return
        self._heed_signals()
        if not terminal_gone():  # served in a browser, it never had one
            self.set_interval(2, self._watch_terminal)

    def _heed_signals(self) -> None:
        loop = asyncio.get_running_loop()
        for number in (signal.SIGTERM, getattr(signal, "SIGHUP", None)):
            if number is not None:
                try:
                    loop.add_signal_handler(number, self._hang_up, number)
                except (NotImplementedError, RuntimeError, ValueError):
                    return  # no such thing on this system

    def _hang_up(self, number: int) -> None:
        if number != signal.SIGTERM and terminal_gone():
            os._exit(128 + number)
        self.exit(return_code=128 + number)

    def _watch_terminal(self) -> None:
        if terminal_gone():
            os._exit(129)
