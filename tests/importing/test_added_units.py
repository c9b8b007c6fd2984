"""``[[unit]]``: a unit written away from its model is one of its model's units, and no less."""

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from kitprep.bundled import bundle
from kitprep.definitions.kit import Kit, Unit
from kitprep.definitions.loading import load_day, load_kit, load_tables
from kitprep.definitions.problems import DefinitionError
from kitprep.planning.day import work_out


def including(kit: Path, text: str) -> Path:
    """The kit with a file of units beside it."""
    kit.with_name("units.toml").write_text(text, "utf-8")
    kit.write_text('include = ["units.toml"]\n' + kit.read_text("utf-8"), "utf-8")
    return kit


def problems(kit: Path) -> list[str]:
    with pytest.raises(DefinitionError) as refused:
        load_kit(kit)
    return [line.replace(f"{kit.parent}/", "") for line in refused.value.lines]


def test_a_unit_joins_those_of_its_model(kit: Path) -> None:
    including(kit, '[[unit]]\nmodel = "slim-pack"\ntag = "TX02"\nserial = "S2"\nstate = "repair"\n')
    slim = load_kit(kit).transmitters[0]
    assert slim.units == (
        Unit.model_validate({"tag": "TX01"}),
        Unit.model_validate({"tag": "TX02", "serial": "S2", "state": "repair"}),
    )
    assert [type(unit) for unit in slim.units] == [Unit, Unit]


def test_receivers_and_tagged_adapters_take_units_too(kit: Path) -> None:
    including(
        kit,
        '[[unit]]\nmodel = "stereo-adapter"\ntag = "AD1"\n[[unit]]\nmodel = "rx-m"\ntag = "RX01"\n',
    )
    whole = load_kit(kit)
    assert [unit.tag for unit in whole.receivers[0].units] == ["RX01"]
    assert [unit.tag for unit in whole.adapters[0].units] == ["AD1"]


def test_units_may_stand_in_the_kit_file_itself(kit: Path) -> None:
    kit.write_text(kit.read_text() + '[[unit]]\nmodel = "rx-m"\ntag = "RX01"\n')
    assert [unit.tag for unit in load_kit(kit).receivers[0].units] == ["RX01"]


def test_the_merged_kit_keeps_the_order_of_the_file(kit: Path) -> None:
    text = "".join(
        f'[[unit]]\nmodel = "{model}"\ntag = "{tag}"\n'
        for model, tag in (("rx-m", "B"), ("slim-pack", "C"), ("rx-m", "A"))
    )
    whole = load_kit(including(kit, text))
    assert [unit.tag for unit in whole.units] == ["B", "C", "A"]
    assert [unit.tag for unit in whole.receivers[0].units] == ["B", "A"]


def test_planning_sees_no_difference(tmp_path: Path) -> None:
    shutil.copytree(bundle() / "shared", tmp_path / "shared")
    shutil.copytree(bundle() / "kits", tmp_path / "kits")
    folder = tmp_path / "kits" / "harbour-of-foxes"
    before = load_day(folder / "day-01.toml")

    kit = folder / "kit.toml"
    lines = kit.read_text("utf-8").splitlines()
    start = lines.index('  tag = "RX01"') - 1
    moved = [
        f'[[unit]]\nmodel = "bag-rx-m"\ntag = "RX0{n}"\nserial = "SN-110{n}"' for n in (1, 2, 3)
    ]
    (folder / "units.toml").write_text("\n".join(moved), "utf-8")
    kept = lines[:start] + lines[start + 9 :]
    text = "\n".join(kept).replace("connectors.toml", 'connectors.toml", "units.toml', 1)
    kit.write_text(text, "utf-8")
    after = load_day(folder / "day-01.toml")

    assert after.kit.model_copy(update={"include": (), "units": ()}) == before.kit.model_copy(
        update={"include": ()}
    )
    worked = [work_out(day.kit, day.plan) for day in (before, after)]
    assert replace(worked[1], kit=before.kit) == worked[0]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (
            '[[unit]]\nmodel = "slim-pak"\ntag = "TX02"\n',
            'units.toml:2:9: no model "slim-pak" here; did you mean "slim-pack"?',
        ),
        (
            '[[unit]]\nmodel = "lav"\ntag = "L1"\n',
            'units.toml:2:9: "lav" is counted by qty, as any item; take this unit out',
        ),
        (
            '[[unit]]\nmodel = "pad"\ntag = "P1"\n',
            'units.toml:2:9: "pad" is counted by qty; take its qty out, and write a unit for each',
        ),
        (
            '[[unit]]\ntag = "TX02"\nmodel = "slim-pack"\ncase = "puch"\n',
            'units.toml:4:8: no case "puch" here; did you mean "pouch"?',
        ),
        (
            '[[unit]]\ntag = "TX02"\nmodel = "slim-pack"\ntuning_mhz = [[500.0, 510.0]]\n',
            "units.toml:4:15: 500 to 510 MHz is ",
        ),
        (
            '[[unit]]\ntag = "TX02"\n',
            'units.toml:1:1: this unit has no "model"; write model = …',
        ),
        (
            '[[unit]]\nmodel = "rx-m"\ntag = "RX1"\nserail = "S"\n',
            'units.toml:4:1: unknown key "serail"; did you mean "serial"?',
        ),
        (
            '[[unit]]\nmodel = "rx-m"\ntag = "RX1"\n\n[[unit]]\nmodel = "rx-m"\ntag = "tx01"\n',
            'units.toml:7:7: the tag "tx01" is here already',
        ),
    ],
)
def test_what_is_wrong_with_a_unit_is_told_at_its_own_place(
    kit: Path, text: str, line: str
) -> None:
    found = problems(including(kit, text))
    assert len(found) == 1
    assert found[0].startswith(line)


def test_a_unit_is_not_told_of_a_model_that_could_not_be_read(kit: Path) -> None:
    kit.write_text(kit.read_text().replace('form = "bodypack"', 'form = "bodypak"'))
    found = problems(including(kit, '[[unit]]\nmodel = "slim-pack"\ntag = "TX02"\n'))
    assert len(found) == 1
    assert "bodypak" in found[0]


def test_a_file_of_units_reads_by_itself(kit: Path) -> None:
    including(kit, '[[unit]]\nmodel = "of another kit"\ntag = "TX02"\n')
    assert load_tables(kit.with_name("units.toml")).units[0].model == "of another kit"


def test_the_schema_knows_units() -> None:
    assert "unit" in Kit.model_json_schema()["properties"]
