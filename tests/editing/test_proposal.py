"""From a filled-in form to a file: where it goes, and what is said where it cannot."""

import errno
import os
from datetime import date
from pathlib import Path

import pytest

from kitprep.definitions.loading import load_day
from kitprep.editing.forms import FIELDS, KINDS, Kind, fields_of
from kitprep.editing.owned import is_owned
from kitprep.editing.proposal import Book, Drop, Edit, Proposal
from kitprep.editing.writing import take_back, write
from kitprep.files import NotWritten
from kitprep.importing.writing import is_untouched, units_text


@pytest.fixture
def book(folder: Path) -> Book:
    return Book(folder / "day-02.toml")


def changed(book: Book, kind: Kind, name: str | None, **texts: str) -> Proposal:
    return book.proposed(Edit(kind, name, {**book.texts(kind, name), **texts}))


def lines(proposal: Proposal) -> list[str]:
    """The lines that differ, and no others."""
    return [line for line in proposal.difference() if line[0] in "+-"]


def refusals(proposal: Proposal) -> dict[str, str]:
    assert proposal.day is None
    return dict(proposal.at)


# What is on the form is what is in the file


@pytest.mark.parametrize("kind", KINDS)
def test_a_form_that_is_left_as_it_is_changes_nothing(kind: Kind, book: Book) -> None:
    assert book.names(kind)
    for name in book.names(kind):
        assert changed(book, kind, name).nothing


def test_a_form_shows_what_the_file_says(book: Book) -> None:
    assert book.texts("source", "mix") == {
        "id": "mix",
        "name": "Mix to both cameras",
        "form": "bodypack, hop",
        "model": "",
        "wears": "",
        "channels": "2",
        "connector": "TA5",
        "mic_power": "",
        "to": "cam-a, cam-b",
        "intent": "tracks",
        "priority": "2",
        "tuning_mhz": "",
        "notes": "",
    }
    assert book.texts("unit", "TX05")["tuning_mhz"] == "470.1-516"
    assert book.texts("unit", "TX05")["due"] == "2027-03-20"


@pytest.mark.parametrize("kind", KINDS)
def test_every_key_of_an_entry_is_on_its_form(kind: Kind) -> None:
    from kitprep.definitions.kit import AddedUnit
    from kitprep.definitions.plan import Destination, Scene, Source

    model = {"scene": Scene, "source": Source, "destination": Destination, "unit": AddedUnit}[kind]
    keys = {field.alias or name for name, field in model.model_fields.items()}
    assert {field.key for field in FIELDS[kind]} == keys


# One field, one line


@pytest.mark.parametrize(
    ("kind", "name", "field", "text", "difference"),
    [
        ("unit", "TX03", "state", "repair", ['+  state = "repair"']),
        (
            "unit",
            "TX02",
            "firmware",
            "5.2",
            [
                '-  firmware = "5.1"                   # still to be brought to 5.2',
                '+  firmware = "5.2"                   # still to be brought to 5.2',
            ],
        ),
        ("unit", "TX03", "ended", "2027-03-20", ["+  ended = 2027-03-20"]),
        ("unit", "TX01", "weight_g", "62.5", ["+  weight_g = 62.5"]),
        ("unit", "TX01", "tuning_mhz", "518-530", ["+  tuning_mhz = [[518.0, 530.0]]"]),
        ("unit", "TX05", "tuning_mhz", "", ["-  tuning_mhz = [[470.1, 516.0]]"]),
        ("scene", "31", "start", "7:30", ['-start = "08:00"', '+start = "7:30"']),
        (
            "scene",
            "31",
            "sources",
            "ines, marek, boom",
            [
                '-sources = ["ines", "marek", "boom", "mix"]',
                '+sources = ["ines", "marek", "boom"]',
            ],
        ),
        ("source", "marek", "channels", "2", ["+channels = 2"]),
        ("source", "mix", "to", "cam-a", ['-to = ["cam-a", "cam-b"]', '+to = "cam-a"']),
        ("source", "ines", "notes", r"one\ntwo", [r'+notes = "one\ntwo"']),
        ("destination", "recorder", "inputs", "10", ["-inputs = 8", "+inputs = 10"]),
    ],
)
def test_one_field_changes_one_line(
    kind: Kind, name: str, field: str, text: str, difference: list[str], book: Book
) -> None:
    found = changed(book, kind, name, **{field: text})
    assert found.day is not None
    assert not found.at
    assert not found.elsewhere
    assert lines(found) == difference


def test_the_day_is_the_one_that_the_file_will_say(book: Book) -> None:
    found = changed(book, "unit", "TX03", state="repair", ended="2027-04-01")
    assert found.day is not None
    unit = next(u for t in found.day.kit.transmitters for u in t.units if u.tag == "TX03")
    assert (unit.state, unit.ended) == ("repair", date(2027, 4, 1))
    assert found.path.name == "kit.toml"


# New entries


def test_a_new_unit_joins_the_others_of_its_model(book: Book) -> None:
    found = changed(book, "unit", None, model="long-pack", tag="TX15", serial="SN-9")
    assert lines(found) == ["+  [[transmitter.unit]]", '+  tag = "TX15"', '+  serial = "SN-9"']
    assert found.day is not None
    long = next(t for t in found.day.kit.transmitters if t.model == "long-pack")
    assert [unit.tag for unit in long.units][-2:] == ["TX14", "TX15"]


def test_a_new_source_stands_behind_the_last(book: Book) -> None:
    found = changed(
        book, "source", None, id="gulls", form="plug-on, handheld", to="recorder", channels="1"
    )
    assert lines(found) == [
        "+[[source]]",
        '+id = "gulls"',
        '+form = ["plug-on", "handheld"]',
        "+channels = 1",
        '+to = "recorder"',
        "+",
    ]
    assert found.day is not None
    assert found.day.plan.sources[-1].id == "gulls"


def test_a_new_scene_and_a_new_destination(book: Book) -> None:
    scene = changed(book, "scene", None, number="35", start="18:30", end="19:00", sources="boom")
    assert scene.day is not None
    assert scene.day.plan.scenes[-1].number == "35"
    recorder = changed(book, "destination", None, id="bag-3", inputs="2", connector="XLR3")
    assert recorder.day is not None
    assert recorder.day.plan.destinations[-1].id == "bag-3"


# Names that change take what refers to them along


def test_a_source_that_gets_another_id_keeps_its_scenes(book: Book) -> None:
    found = changed(book, "source", "boom-2", id="pole")
    assert lines(found) == [
        '-id = "boom-2"',
        '+id = "pole"',
        '-sources = ["brenna", "boom-2"]',
        '+sources = ["brenna", "pole"]',
        '-sources = ["boom-2", "shanty"]',
        '+sources = ["pole", "shanty"]',
    ]


def test_a_destination_that_gets_another_id_keeps_its_sources_and_their_inputs(book: Book) -> None:
    found = changed(book, "destination", "bag-2", id="bag-b")
    assert found.day is not None
    goes = {source.id: source.to for source in found.day.plan.sources}
    assert (goes["brenna"], goes["boom-2"]) == (("bag-b",), ("bag-b:1",))
    found = changed(book, "destination", "cam-a", id="cam-x")
    assert found.day is not None
    assert next(s for s in found.day.plan.sources if s.id == "mix").to == ("cam-x", "cam-b")


# What is wrong is said where it is


@pytest.mark.parametrize(
    ("kind", "name", "texts", "sentences"),
    [
        (
            "source",
            "ines",
            {"to": "recoder"},
            {"to": 'no destination "recoder" here; did you mean "recorder"?'},
        ),
        (
            "source",
            "ines",
            {"channels": "two"},
            {"channels": 'channels cannot be "two"; write a whole number'},
        ),
        ("source", "ines", {"channels": "3"}, {"channels": "channels cannot be 3; write 1 or 2"}),
        ("source", "ines", {"form": ""}, {"form": 'this source has no "form"; write form'}),
        (
            "source",
            "ines",
            {"id": "Inés"},
            {"id": '"Inés" is not an id; write small letters, digits and hyphens, such as "ines"'},
        ),
        (
            "scene",
            "31",
            {"end": "07:00"},
            {"end": 'it ends at 07:00, before it starts at 08:00; past midnight write "31:00"'},
        ),
        (
            "scene",
            "32",
            {"start": "09:00"},
            {
                "sources": '"ines" is in scene 31 as well, which runs at the same time until '
                "10:00; change a time, or write a second source"
            },
        ),
        (
            "unit",
            "TX01",
            {"owner": "HIRE-1"},
            {
                "owner": 'owner "HIRE-1" is a hire with no day to return it; write due, such as '
                "due = 2027-03-20"
            },
        ),
        (
            "unit",
            "TX01",
            {"ended": "tomorrow"},
            {"ended": 'ended cannot be "tomorrow"; write year, month, day, as in 2027-03-14'},
        ),
        (
            "unit",
            "TX01",
            {"tuning_mhz": "518"},
            {
                "tuning_mhz": 'tuning_mhz cannot be "518"; write ranges in MHz, such as 518-572, '
                "580-600"
            },
        ),
        ("unit", None, {"tag": "TX99"}, {"model": "a unit is of a model; choose one"}),
        (
            "unit",
            None,
            {"tag": "TX99", "model": "slim"},
            {"model": 'no model "slim" here; did you mean "slim-pack"?'},
        ),
    ],
)
def test_a_mistake_is_told_at_its_field_in_one_sentence(
    kind: Kind, name: str | None, texts: dict[str, str], sentences: dict[str, str], book: Book
) -> None:
    assert refusals(changed(book, kind, name, **texts)) == sentences


def test_a_tag_that_is_there_already_is_told_at_the_tag(book: Book) -> None:
    found = refusals(changed(book, "unit", None, model="long-pack", tag="tx01"))
    assert found["tag"].startswith('the tag "tx01" is here already as "TX01", at ')


def test_what_another_entry_then_breaks_is_told_with_its_place(book: Book) -> None:
    # Day 2 gives the boom its first input fixed: with one input less than that there is none.
    found = changed(book, "scene", "31", end="10:30")
    assert found.day is None
    assert not found.at
    assert [line.split(": ", 1)[1] for line in found.elsewhere] == [
        f'"{who}" is in scene 31 as well, which runs at the same time until 10:30; change a time, '
        "or write a second source"
        for who in ("ines", "boom")
    ]


# What goes


def test_a_scene_goes_with_its_own_comment(book: Book) -> None:
    found = book.proposed(Drop("scene", "T4"))
    assert found.day is not None
    assert "-# The trawler casts off at 09:30 and is alongside again at 15:00." in lines(found)
    assert [scene.number for scene in found.day.plan.scenes] == ["31", "32", "33", "T5", "34"]


def test_what_others_refer_to_stays_and_they_are_named(book: Book) -> None:
    found = book.proposed(Drop("source", "mix"))
    assert found.day is None
    assert found.elsewhere == ("mix is in scenes 31, 33 and 34; take it out of there first",)
    found = book.proposed(Drop("destination", "cam-b"))
    assert found.elsewhere == ("mix goes to cam-b; send them elsewhere first",)


def test_the_last_scene_cannot_go(folder: Path) -> None:
    plan = folder / "day-02.toml"
    text = plan.read_text("utf-8").splitlines(keepends=True)
    plan.write_text("".join(line for line in text if not line.startswith("mains_at")), "utf-8")
    for number in ("31", "T4", "32", "33", "T5"):
        write(Book(plan).proposed(Drop("scene", number)))
    found = Book(plan).proposed(Drop("scene", "34"))
    assert found.day is None
    assert 'the file has no "scene"' in found.elsewhere[0]


# Writing


def test_only_the_changed_file_is_written_and_it_can_be_taken_back(
    book: Book, folder: Path
) -> None:
    before = {path: path.read_bytes() for path in folder.parent.parent.rglob("*.toml")}
    done = write(changed(book, "unit", "TX03", state="repair"))
    after = {path: path.read_bytes() for path in folder.parent.parent.rglob("*.toml")}
    assert {path for path in before if before[path] != after[path]} == {folder / "kit.toml"}
    assert load_day(folder / "day-01.toml").kit.transmitters[0].units[2].state == "repair"
    take_back(done)
    assert {path: path.read_bytes() for path in before} == before


@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_and_the_mark_at_the_start_stay(folder: Path, line_end: str, mark: str) -> None:
    kit = folder / "kit.toml"
    text = mark + kit.read_text("utf-8").replace("\n", line_end)
    kit.write_bytes(text.encode())
    write(changed(Book(folder / "day-01.toml"), "unit", "TX03", state="repair"))
    own = f'  tag = "TX03"{line_end}  serial = "SN-0422"{line_end}  firmware = "5.2"{line_end}'
    assert kit.read_bytes().decode() == text.replace(own, f'{own}  state = "repair"{line_end}')


def test_what_someone_saved_meanwhile_is_not_written_over(book: Book, folder: Path) -> None:
    found = changed(book, "unit", "TX03", state="repair")
    kit = folder / "kit.toml"
    theirs = kit.read_bytes() + b"# mine\n"
    kit.write_bytes(theirs)
    with pytest.raises(NotWritten, match="is not what was read any more"):
        write(found)
    assert kit.read_bytes() == theirs
    kit.unlink()
    with pytest.raises(NotWritten):
        write(found)
    assert not kit.exists()


def test_taking_back_stops_where_someone_wrote_since(book: Book, folder: Path) -> None:
    done = write(changed(book, "unit", "TX03", state="repair"))
    kit = folder / "kit.toml"
    kit.write_bytes(kit.read_bytes() + b"# mine\n")
    with pytest.raises(NotWritten):
        take_back(done)
    assert kit.read_bytes() == done.after + b"# mine\n"


def test_a_full_disk_leaves_the_file_as_it_was_and_nothing_beside_it(
    book: Book, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = changed(book, "unit", "TX03", state="repair")
    before = {path: path.read_bytes() for path in folder.iterdir()}

    def full(descriptor: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NotWritten, match="No space left on device"):
        write(found)
    assert {path: path.read_bytes() for path in folder.iterdir()} == before


def test_a_file_that_is_linked_is_written_where_it_is(folder: Path, tmp_path: Path) -> None:
    kit, real = folder / "kit.toml", folder / "real.toml"
    kit.rename(real)
    kit.symlink_to(real)
    write(changed(Book(folder / "day-01.toml"), "unit", "TX03", state="repair"))
    assert kit.is_symlink()
    assert 'state = "repair"' in real.read_text("utf-8")


# Files of the program's own


@pytest.fixture
def imported(folder: Path) -> Path:
    """A kit whose receivers RX81 and RX82 came out of a spreadsheet."""
    from kitprep.definitions.kit import AddedUnit

    units = folder / "units.toml"
    tags = [AddedUnit(tag=tag, model="bag-rx-m") for tag in ("RX81", "RX82")]
    units.write_text(units_text(tags, "hire.csv"), "utf-8")
    kit = folder / "kit.toml"
    kit.write_text(kit.read_text("utf-8").replace("include = [", 'include = ["units.toml", '))
    return units


def test_an_imported_file_is_written_anew_and_no_import_takes_that_away(
    folder: Path, imported: Path
) -> None:
    assert is_owned(imported.read_text("utf-8"))
    plan = folder / "day-01.toml"
    found = changed(Book(plan), "unit", "RX82", serial="SN-82")
    assert found.is_owned
    write(found)
    text = imported.read_text("utf-8")
    assert is_owned(text)
    assert not is_untouched(text)  # or the next import would lose the serial
    write(changed(Book(plan), "unit", None, model="bag-rx-m", tag="RX83"))
    units = load_day(plan).kit.units
    assert [(unit.tag, unit.serial) for unit in units] == [
        ("RX81", None),
        ("RX82", "SN-82"),
        ("RX83", None),
    ]


def test_once_a_person_has_changed_it_it_is_theirs(folder: Path, imported: Path) -> None:
    plan = folder / "day-01.toml"
    write(changed(Book(plan), "unit", "RX82", serial="SN-82"))
    imported.write_text(imported.read_text("utf-8") + "# counted twice\n", "utf-8")
    found = changed(Book(plan), "unit", "RX81", serial="SN-81")
    assert not found.is_owned
    assert lines(found) == [
        '-    { model = "bag-rx-m", tag = "RX81" },',
        '+    { model = "bag-rx-m", tag = "RX81", serial = "SN-81" },',
    ]


def test_a_unit_of_an_imported_file_keeps_its_model(folder: Path, imported: Path) -> None:
    imported.write_text(imported.read_text("utf-8") + "\n", "utf-8")
    found = changed(Book(folder / "day-01.toml"), "unit", None, model="bag-rx-m", tag="RX83")
    assert lines(found) == ['+    { model = "bag-rx-m", tag = "RX83" },']


@pytest.mark.parametrize("kind", KINDS)
def test_what_names_an_entry_can_be_written_once_for_a_unit(kind: Kind) -> None:
    """A tag stays with its thing: the ledger knows it by that."""
    keys = {field.key for field in fields_of(kind, is_new=False)}
    assert ("tag" in keys, "model" in keys) == (False, kind == "source")
