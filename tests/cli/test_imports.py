"""What a command loads: textual for the screens alone, the solver only to plan."""

import json
import subprocess
import sys
from pathlib import Path

from kitprep.bundled import demo_plan
from kitprep.cli.words import COMMANDS

RUNS_AND_LISTS = """
import contextlib, io, json, sys
from kitprep.cli import main

heavy, after = {"textual", "rich", "highspy", "sqlalchemy", "pydantic"}, []
for words in json.loads(sys.argv[1]):
    with contextlib.redirect_stdout(io.StringIO()), contextlib.suppress(SystemExit):
        main(words)
    after.append(sorted(heavy & {name.split(".")[0] for name in sys.modules}))
print(json.dumps(after))
"""


def test_no_command_but_the_screens_loads_textual_and_each_only_what_it_needs(ledger: Path) -> None:
    # In one process, so the lists only grow: what a command loads shows where it first stands.
    plan = str(demo_plan())
    needs = [
        (["--help"], []),
        (["--version"], []),
        (["demo", "--where"], []),
        (["schema", "kit"], ["pydantic"]),
        (["check", plan], ["pydantic"]),
        (["needs", plan], ["highspy", "pydantic"]),
        (["list", plan], ["highspy", "pydantic", "sqlalchemy"]),
        (["status", plan], ["highspy", "pydantic", "sqlalchemy"]),
        (["pack", plan, "TX01"], ["highspy", "pydantic", "sqlalchemy"]),
        (["confirm", plan], ["highspy", "pydantic", "sqlalchemy"]),
        (["back", plan, "TX01"], ["highspy", "pydantic", "sqlalchemy"]),
    ]
    done = subprocess.run(
        [sys.executable, "-c", RUNS_AND_LISTS, json.dumps([words for words, _ in needs])],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert json.loads(done.stdout) == [loaded for _, loaded in needs]


def test_no_module_of_a_command_but_the_screens_names_textual() -> None:
    modules = sorted({command.module for command in COMMANDS.values()} - {"screens"})
    script = "import sys, importlib\n"
    script += f"for name in {modules}: importlib.import_module('kitprep.cli.' + name)\n"
    script += "print('textual' in sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout == "False\n"
