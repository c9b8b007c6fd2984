"""A small kit to import into, and ``kitprep import`` run in this process."""

import argparse
from pathlib import Path

import pytest
from import_running import Import

from kitprep.cli.making_words import import_words
from kitprep.cli.spreadsheet import run_import

KIT = """\
kit = "small"
name = "A small kit"

[[transmitter]]
model = "slim-pack"
name = "Slim bodypack"
form = "bodypack"
system = "d1"
tuning_mhz = [[518.0, 572.0]]
power = [{ dc_v = [4.0, 6.0], watts = 1.0 }]
  [[transmitter.unit]]
  tag = "TX01"

[[receiver]]
model = "rx-m"
name = "Portable receiver"
system = "d1"
tuning_mhz = [[518.0, 572.0]]
outputs = [{ connector = "TA3" }]
power = [{ dc_v = [4.0, 6.0], watts = 2.0 }]

[[adapter]]
model = "stereo-adapter"
fits = ["slim-pack"]
channels = 2

[[adapter]]
model = "pad"
fits = ["slim-pack"]
qty = 2

[[case]]
id = "pouch"
name = "Transmitter pouch"

[[item]]
model = "lav"
name = "Lav"
qty = 4
"""


@pytest.fixture
def kit(tmp_path: Path) -> Path:
    path = tmp_path / "kit.toml"
    path.write_text(KIT, "utf-8")
    return path


@pytest.fixture
def config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The file that columns are remembered in during a test."""
    path = tmp_path / "config" / "import-columns.json"
    monkeypatch.setattr("kitprep.cli.spreadsheet.default_place", lambda: path)
    return path


@pytest.fixture
def take_in(config: Path, kit: Path, capsys: pytest.CaptureFixture[str]) -> Import:
    """Imports a text, or bytes, into the small kit: the status, the answer, the messages."""

    def call(sheet: str | bytes, *words: object) -> tuple[int, str, str]:
        path = kit.with_name("stock.csv")
        path.write_bytes(sheet if isinstance(sheet, bytes) else sheet.encode())
        parser = argparse.ArgumentParser()
        import_words(parser)
        given = parser.parse_args([str(path), "--kit", str(kit), *map(str, words)])
        status = run_import(given)
        return status, *capsys.readouterr()

    return call
