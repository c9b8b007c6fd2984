"""Whatever a hand or a bad disk does to a file, it loads or says what is wrong; it never breaks."""

import random
import re
import shutil
import string
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kitprep.bundled import bundle
from kitprep.definitions.glimpse import Glimpse, SeenBreak, SeenScene, glimpse
from kitprep.definitions.loading import load_any, load_day
from kitprep.definitions.plan import Plan
from kitprep.definitions.problems import DefinitionError
from kitprep.tui.drawing.first import first_rows
from kitprep.tui.drawing.lines import UNICODE

DEMO = "kits/harbour-of-foxes"
FILES = ("kit.toml", "day-01.toml", "day-02.toml", "day-03.toml")

VALUES = """
"" "x" 0 -1 1e400 -1e-300 nan inf true [] {} [[1,2]] [1] [[[]]] {a={}} "25:30" "48:00" 07:30:00
07:30:30 2027-01-01 2027-01-01T00:00:00Z "." "/" "recorder:1" "bag" "slim-pack" "\\u202e" "\\u0000"
""".split()  # noqa: SIM905 - three lines of it are read more easily than thirty
VALUES += ["9" * 25, "9" * 5000, "0x" + "f" * 5000, f'"{"a" * 10_000}"', f'"{"é" * 199}"']
KEYS = ("unit", "model", "tuning_mhz", "start", "include", "kit", "power", "x", "a.b", '"\\u0000"')
CHARACTERS = string.printable + "“é\u202e\ufeff\x00"


@pytest.fixture(scope="module")
def texts() -> dict[str, str]:
    return {name: (bundle() / DEMO / name).read_text("utf-8") for name in FILES}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = tmp_path_factory.mktemp("mutated")
    shutil.copytree(bundle() / "shared", root / "shared")
    (root / DEMO).mkdir(parents=True)
    return root / DEMO


def mutated(text: str, chance: random.Random) -> str:
    """The text after one to three slips of the hand."""
    lines = text.split("\n")
    for _ in range(chance.randint(1, 3)):
        here, there = chance.randrange(len(lines)), chance.randrange(len(lines))
        line = lines[here]
        match chance.randrange(6):
            case 0:
                lines[here] = ""
            case 1:
                lines.insert(here, lines[there])
            case 2:
                lines[here], lines[there] = lines[there], line
            case 3:
                value = chance.choice(VALUES)
                lines[here] = re.sub(r"=.*", lambda _, value=value: f"= {value}", line, count=1)
            case 4:
                key = chance.choice(KEYS)
                lines[here] = re.sub(r"^\s*\w+", lambda _, key=key: key, line)
            case 5:
                at = chance.randint(0, len(line))
                lines[here] = line[:at] + chance.choice(CHARACTERS) + line[at + 1 :]
    return "\n".join(lines)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(name=st.sampled_from(FILES), chance=st.randoms(use_true_random=False))
def test_a_file_with_slips_loads_or_says_what_is_wrong(
    name: str, chance: random.Random, texts: dict[str, str], folder: Path
) -> None:
    for each, text in texts.items():
        (folder / each).write_text(mutated(text, chance) if each == name else text, "utf-8")
    for line in told(folder / ("day-01.toml" if name == "kit.toml" else name)):
        assert re.fullmatch(r"[^\n]+\.toml:\d+:\d+: [^\n]+; [^\n]+", line)
        assert len(line) < 1000
        assert not re.search("[\x00-\x1f\x7f-\x9f\u202a-\u202e]", line)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(name=st.sampled_from(FILES[1:]), chance=st.randoms(use_true_random=False))
def test_a_glimpse_can_be_drawn_and_says_the_same_as_a_plan_that_loads(
    name: str, chance: random.Random, texts: dict[str, str], folder: Path
) -> None:
    (folder / "kit.toml").write_text(texts["kit.toml"], "utf-8")
    (folder / name).write_text(mutated(texts[name], chance), "utf-8")
    seen = glimpse(folder / name)
    if seen is not None:
        assert first_rows(seen, 77, UNICODE)
    try:
        day = load_day(folder / name)
    except DefinitionError:
        return
    assert seen == as_seen(day.plan)


def as_seen(plan: Plan) -> Glimpse:
    """What there is to see of a plan."""
    return Glimpse(
        plan.day,
        plan.title,
        plan.temperature_c,
        plan.lead_min,
        tuple(SeenScene(s.start, s.end, s.number, s.place, s.sources) for s in plan.scenes),
        tuple(SeenBreak(b.start, b.end, b.name) for b in plan.breaks),
    )


def told(path: Path) -> list[str]:
    """What is said of a file; nothing where it loads."""
    try:
        load_any(path)
    except DefinitionError as error:
        return error.lines or pytest.fail("an error that says nothing")
    return []


@settings(max_examples=100, deadline=None)
@given(content=st.binary(max_size=300))
def test_a_file_of_anything_says_what_is_wrong(content: bytes, folder: Path) -> None:
    (folder / "anything.toml").write_bytes(content)
    assert told(folder / "anything.toml")
