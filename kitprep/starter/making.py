"""The files of a starter, as text, from the answers alone.

The figures are sized so that the day works out with some to spare; the tests hold that for every
kind of answer.
"""

import json
import re
import unicodedata
from collections.abc import Iterator, Mapping
from pathlib import Path
from string import Template

from kitprep.definitions.text import clock
from kitprep.starter.answers import Answers

KIT, DAY, TABLES = "kit.toml", "day-01.toml", "tables"
TABLE_NAMES = ("cells.toml", "connectors.toml")
"""The reference tables that the starter's kit includes."""

_COMMENT_AT = 40
_HERE = Path(__file__).parent
_TRAILING_COMMENT = re.compile(r"^([^#\n]*[^#\s]) +# ", re.MULTILINE)


def starter_files(answers: Answers, tables: Mapping[str, str]) -> dict[str, bytes]:
    """Every file by its path in the new folder, the day plan last; ``tables`` by their names."""
    files = {
        f"{TABLES}/{name}": tables[name].replace("../../shared/", f"{TABLES}/")
        for name in TABLE_NAMES
    }
    files[KIT] = kit_text(answers)
    files[DAY] = day_text(answers)
    return {name: text.encode() for name, text in files.items()}


def kit_text(answers: Answers) -> str:
    """The kit file."""
    return _filled("kit.template.toml", _kit_words(answers))


def day_text(answers: Answers) -> str:
    """The day plan."""
    words = {
        "title": answers.job,
        "plan_name": DAY,
        "day": answers.day.isoformat(),
        # The boom has input 1 even on a cable, and the cast come after it.
        "inputs": 8 if answers.cast < 8 else 24,
        "mains": _MAINS if answers.receivers == "rack" else f"# {_MAINS}",
        "supply": "cart-mains" if answers.receivers == "rack" else "bag",
        "camera": _CAMERA if answers.hop else _NO_CAMERA,
        "sources": "\n".join(_sources(answers)),
        "scenes": "\n".join(_scenes(answers)),
    }
    return _filled("day.template.toml", words)


def kit_id(job: str) -> str:
    """The kit's id in the ledger, from the job's name; "my-kit" where no plain letter is in it."""
    plain = unicodedata.normalize("NFKD", job.lower()).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40].strip("-") or "my-kit"


def _filled(template: str, words: Mapping[str, object]) -> str:
    text = Template((_HERE / template).read_text("utf-8")).substitute(words)
    return _TRAILING_COMMENT.sub(lambda match: f"{match[1] + '  ':<{_COMMENT_AT}}# ", text)


def _kit_words(answers: Answers) -> dict[str, object]:
    wireless_boom = answers.boom != "wired"
    slim = answers.cast // 2
    long = answers.cast - slim + answers.hop
    heard = answers.cast + wireless_boom
    portables = heard if answers.receivers == "portables" else 0
    racks = -(-heard // 4) if answers.receivers == "rack" else 0
    receivers = portables + racks + answers.hop
    packs = slim + long
    return {
        "title": answers.job,
        # JSON's escapes are TOML's too, and the name has no control characters left.
        "name": json.dumps(answers.job, ensure_ascii=False),
        "id": kit_id(answers.job),
        "slim_units": _units("transmitter", "TX", 1, slim),
        "long_units": _units("transmitter", "TX", 11, long),
        "plug_units": _units("transmitter", "TX", 21, int(answers.boom == "plug-on")),
        "hand_units": _units("transmitter", "TX", 31, 0),
        "boom_units": _units("transmitter", "TX", 41, int(answers.boom == "boom-pack")),
        "mono_units": _units("receiver", "RX", 1, portables),
        "stereo_units": _units("receiver", "RX", 21, int(answers.hop)),
        "rack_units": _units("receiver", "RX", 31, racks),
        "adapter_units": _units("adapter", "AD", 1, int(answers.hop)),
        "mono_leads": portables + 2,
        "xlr_leads": 4 * racks + 2,
        "cr123a": 4 * slim + 4,
        "fr6": 6 * (long + wireless_boom) + 12 * answers.hop + 8,
        "packs": 2 + 3 * portables // 10,
        "bag_outlets": max(4, portables),
        "cart_watts": max(60, 15 * racks),
        "cart_outlets": max(4, racks),
        "lavs": 2 * packs + 2,
        "lav_mounts": 3 * packs + 2,
        "tx_antennas": packs + 2,
        "rx_antennas": 2 * receivers + 2,
        "dc_leads": 2 * receivers + 1,
        "rack_supplies": max(1, racks),
        "boom_lead": "Boom cable to the recorder, XLR"
        if answers.boom == "wired"
        else "Lead from the pole to the boom transmitter, XLR",
    }


def _units(kind: str, letters: str, first: int, count: int) -> str:
    if not count:
        example = f'#   [[{kind}.unit]]\n#   tag = "{letters}{first:02d}"\n'
        return f"# No unit of it yet. Take the # away, once for each one that you have:\n{example}"
    return "".join(
        f'  [[{kind}.unit]]\n  tag = "{letters}{number:02d}" # example\n'
        for number in range(first, first + count)
    )


_MAINS = 'mains_at = ["set one", "set two"] # example: places with mains; left out, you are asked'

_NO_CAMERA = """
# A camera that is sent a mix would be one more [[destination]], with inputs = 2.
"""

_CAMERA = """
# No supply here, so the receiver on the camera runs on its own cells.
[[destination]]
id = "cam-a"
name = "A camera"
camera = true
inputs = 2 # example
connector = "XLR3"
receivers = ["portable-stereo"]
"""

_MIX = """\
# Your mix, sent to the camera. "intent" of two channels: "pair" is left and right of one thing,
# "tracks" two feeds that have nothing to do with each other, such as boom and radios.
[[source]]
id = "mix"
name = "Mix to the camera"
form = ["bodypack", "hop"]
channels = 2
connector = "TA5" # example
to = "cam-a"
intent = "tracks"
"""

_BOOM = """\
# "recorder:1": the boom is on input 1 all day.
[[source]]
id = "boom"
name = "Boom"
form = "{form}"
connector = "XLR3"
mic_power = "P48"
to = "recorder:1"
"""

_WIRED = """\
# The boom is on a cable into input 1. It needs nothing of what is worked out here, so it is no
# source; the cast begin at input 2.
"""

_CAST = """\
[[source]]
id = "cast-{number}"
name = "Cast {number}" # example: the character
form = "bodypack"
connector = "TA3" # example
mic_power = "bias"
to = "recorder:{input}"
"""


def _sources(answers: Answers) -> Iterator[str]:
    yield _WIRED if answers.boom == "wired" else _BOOM.format(form=answers.boom)
    for number in range(1, answers.cast + 1):
        yield _CAST.format(number=number, input=number + 1)
    if answers.hop:
        yield _MIX


def _scenes(answers: Answers) -> Iterator[str]:
    """Two scenes, lunch, a move, two scenes: ten hours from the first call, whoever is in it."""
    cast = [f"cast-{number}" for number in range(1, answers.cast + 1)]
    half = -(-len(cast) // 2)
    always = ["boom"] * (answers.boom != "wired") + ["mix"] * answers.hop
    yield _scene(answers, "1", "INT. ROOM, DAY", "set one", (60, 180), [*cast[:half], *always])
    yield _scene(answers, "2", "INT. ROOM, DAY", "set one", (195, 300), [*cast, *always])
    yield _break(answers, "Lunch", (300, 360))
    yield _break(answers, "Company move", (360, 405))
    yield _scene(answers, "3", "EXT. YARD, DAY", "set two", (420, 510), [*cast[-half:], *always])
    yield _scene(answers, "4", "EXT. YARD, DAY", "set two", (525, 600), [*cast, *always])


def _scene(
    answers: Answers, number: str, name: str, place: str, span: tuple[int, int], heard: list[str]
) -> str:
    start, end = (clock(answers.first_call + minutes) for minutes in span)
    sources = ", ".join(f'"{source}"' for source in heard)
    return (
        f'[[scene]]\nnumber = "{number}" # example\nname = "{name}" # example\n'
        f'place = "{place}" # example\nstart = "{start}" # example\nend = "{end}" # example\n'
        f"sources = [{sources}]\n"
    )


def _break(answers: Answers, name: str, span: tuple[int, int]) -> str:
    start, end = (clock(answers.first_call + minutes) for minutes in span)
    return f'[[break]]\nname = "{name}"\nstart = "{start}" # example\nend = "{end}" # example\n'
