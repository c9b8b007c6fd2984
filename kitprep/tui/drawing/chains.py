"""A scene's chains as signal paths, and what is plugged into each destination's inputs."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rich.cells import cell_len

from kitprep.definitions.text import clock, counted
from kitprep.planning.handovers import to_do_before
from kitprep.planning.packing import find_units
from kitprep.planning.reasons import called
from kitprep.planning.results import Link, SceneNeeds, WorkedDay
from kitprep.tui.drawing.chart import Chart, Look, chart_rows
from kitprep.tui.drawing.day import on_and_off, short_of
from kitprep.tui.drawing.lines import (
    Glyphs,
    Line,
    Part,
    Role,
    Row,
    cut,
    fill,
    heading,
    paragraph,
)
from kitprep.walks.naming import heard_by


@dataclass(frozen=True, slots=True)
class _Path:
    """The words along one path: source, transmitter with its adapter, module, input."""

    link: Link
    words: tuple[str, str, str, str]


def link_key(link: Link) -> str:
    """Names a link's row."""
    return f"link:{link.source}:{link.destination}"


def scene_rows(day: WorkedDay, needs: SceneNeeds, width: int, glyphs: Glyphs) -> list[Row]:
    """The whole scene: its paths, what is not served, and the input panels."""
    rows = _head(day, needs, width)
    for before in to_do_before(day, needs.scene.number):
        rows += paragraph(f"before it: {before}", width, "warn", "[~] ")
    rows.append(Row(()))
    rows += _paths(day, needs, width, glyphs)
    for unserved in needs.unserved:
        source = _source_name(day, unserved.source)
        says = f"not served: {source} to {_place(day, unserved.destination)}: {unserved.reason}"
        rows += paragraph(says, width, "bad", "[!] ")
    for destination in day.plan.destinations:
        rows += _panel(day, needs, destination.id, width, glyphs)
    if width >= ROOM_FOR_CHAINS:
        rows += _on_the_clock(day, needs, width, glyphs)
    if needs.scene.notes:
        rows += [heading("Notes", width, glyphs)]
        for line in needs.scene.notes.splitlines():
            rows += paragraph(line, width, "", "  ")
    return rows


def _on_the_clock(day: WorkedDay, needs: SceneNeeds, width: int, glyphs: Glyphs) -> Iterator[Row]:
    """The day with this scene solid in it: what runs beside it, what comes next."""
    looks = {n.scene.number: Look("   ", "", glyphs.half, "dim", "") for n in day.scenes}
    looks[needs.scene.number] = Look("-->", "key", glyphs.full, "bar", "this scene")
    yield heading("On the clock", width, glyphs)
    for row in chart_rows(Chart(day.plan, on_and_off(day), looks, ()), width, glyphs):
        yield Row(row.line)  # scenes are gone to by their own keys here


def _head(day: WorkedDay, needs: SceneNeeds, width: int) -> list[Row]:
    scene = needs.scene
    name = ", ".join(part for part in (scene.name, scene.place) if part)
    says = f"Scene {scene.number}   {clock(scene.start)}-{clock(scene.end)}   {name}"
    counts = (
        f"{needs.mono} mono, {needs.stereo} stereo, {counted(needs.outputs, 'output')}, "
        f"{counted(needs.packs, 'pack')}"
    )
    dead, short = len(needs.unserved), short_of(day, scene.number)
    served = f"{counted(dead, 'link')} not served" if dead else "all served"
    state = f"{served}{f', {short} short' if short else ''}. {counts}"
    role: Role = "bad" if dead or short else "good"
    mark = "[!] " if dead or short else "[x] "
    return [*paragraph(says, width, "head"), *paragraph(state, width, role, mark)]


def _source_name(day: WorkedDay, source: str) -> str:
    return next(called(s) for s in day.plan.sources if s.id == source)


def _place(day: WorkedDay, destination: str) -> str:
    found = next(d for d in day.plan.destinations if d.id == destination)
    return found.name or found.id


def _paths(day: WorkedDay, needs: SceneNeeds, width: int, glyphs: Glyphs) -> Iterator[Row]:
    if not needs.links:
        return
    names = {tag: model.name or model.model for tag, (model, _) in find_units(day.kit).items()}
    for richness in (2, 1, 0):
        paths = [_Path(link, _words(day, link, names, richness)) for link in needs.links]
        wide = [max(len(path.words[n]) for path in paths) for n in range(4)]
        wide = [max(pair) for pair in zip(wide, _LEAST, strict=True)]
        if sum(wide) + _BETWEEN <= width:
            break
    if sum(wide) - wide[0] + min(wide[0], 12) + _BETWEEN > width:
        for path in paths:
            yield from _in_two(path, width, glyphs)
        return
    wide[0] = min(wide[0], width - _BETWEEN - sum(wide[1:]))
    titles = zip(
        ("source", "transmitter", "receiver", "input"),
        (wide[0] + 4, wide[1] + 14, wide[2] + 4, wide[3]),
        strict=True,
    )
    yield Row((("".join(fill(title, size, glyphs.dots) for title, size in titles), "dim"),))
    for path in paths:
        yield Row(_drawn(path, wide, glyphs), link_key(path.link))


_LEAST = (3, 0, 5, 5)
"""Cells of each word under which the titles would run together."""

_BETWEEN = 4 + 14 + 4
"""Cells that the lines between the four words take: to the pack, through the air, to the input."""


def _words(
    day: WorkedDay, link: Link, names: dict[str, str], richness: int
) -> tuple[str, str, str, str]:
    adapter = f" + {link.adapter}" if link.adapter else ""
    inputs = "+".join(map(str, link.inputs))
    if richness == 0:
        return (
            _source_name(day, link.source),
            f"{link.transmitter}{adapter}",
            heard_by(day, link).replace(" module ", "/"),
            f"{link.destination} {inputs}",
        )
    pack, receiver = link.transmitter, heard_by(day, link)
    if richness == 2:
        _, _, module = receiver.partition(" ")
        receiver = f"{link.receiver} {names.get(link.receiver, '')}{', ' * bool(module)}{module}"
        pack = f"{pack} {names.get(pack, '')}"
    return (
        _source_name(day, link.source),
        f"{pack}{adapter}",
        receiver,
        f"{_place(day, link.destination)} {inputs}",
    )


def _in_two(path: _Path, width: int, glyphs: Glyphs) -> Iterator[Row]:
    """A path on two rows, where one has no room: up to the air, and from it."""
    link = path.link
    across = (glyphs.double if link.mode == "stereo" else glyphs.across) * 2
    source, pack, module, where = path.words
    name = cut(source, max(width - len(pack) - 4, 4), glyphs.dots)
    yield Row(((f"{name} ", ""), (f"{across} ", "dim"), (pack, "key")), link_key(link))
    yield Row(
        (
            (f"  {glyphs.radio} {link.mode:<6} ", "dim"),
            (f"{module} ", "key"),
            (f"{across} ", "dim"),
            (where, ""),
        )
    )


def _drawn(path: _Path, wide: Sequence[int], glyphs: Glyphs) -> Line:
    across = glyphs.double if path.link.mode == "stereo" else glyphs.across
    words = [fill(word, width, glyphs.dots) for word, width in zip(path.words, wide, strict=True)]
    leads = []
    for word in words[:3]:
        bare = word.rstrip()
        leads.append((bare, f" {across * (len(word) - len(bare) + 2)} "))
    return (
        (leads[0][0], ""),
        (leads[0][1], "dim"),
        (leads[1][0], "key"),
        (f"{leads[1][1][:-1]}{glyphs.radio} {path.link.mode:<6} ", "dim"),
        (leads[2][0], "key"),
        (leads[2][1], "dim"),
        (words[3].rstrip(), ""),
    )


def link_rows(
    day: WorkedDay, needs: SceneNeeds, key: str | None, width: int, glyphs: Glyphs
) -> list[Row]:
    """One chain in full: each unit by name and serial, and when its cells are changed."""
    link = next((link for link in needs.links if link_key(link) == key), None)
    if link is None:
        return []
    units = find_units(day.kit)
    parts = []
    for tag in (link.transmitter, link.adapter, link.receiver):
        if tag is None:
            continue
        model, unit = units.get(tag, (None, None))
        name = f"{tag} {model.name or model.model}" if model else tag
        parts.append(f"{name} ({unit.serial})" if unit and unit.serial else name)
    inputs = " and ".join(map(str, link.inputs))
    word = "input" if len(link.inputs) == 1 else "inputs"
    _, _, module = heard_by(day, link).partition(" ")
    parts += [part for part in (module,) if part]
    chain = f"{', '.join(parts)}, {_place(day, link.destination)} {word} {inputs}"
    rows = [heading(_source_name(day, link.source), width, glyphs, link.mode)]
    rows += paragraph(chain, width, "", " ")
    fed = (link.transmitter, link.receiver)
    changes = [c for c in day.changes if c.before == link.scene and c.unit in fed]
    if not changes:
        return [*rows, *paragraph("no cells to change", width, "dim", " ")]
    if before := [c for c in changes if not c.mid_scene]:
        told = (f"{c.unit} {c.cell} by {clock(c.by)}" for c in before)
        rows += paragraph(f"before this scene change {', '.join(told)}", width, "warn", " ")
    for change in (c for c in changes if c.mid_scene):
        says = (
            f"the scene outlasts the {change.cell} in {change.unit}: dead at {clock(change.by)}, "
            "so change the set within the scene by then, in a pause"
        )
        rows += paragraph(says, width, "bad", " ")
    return rows


def _panel(
    day: WorkedDay, needs: SceneNeeds, destination: str, width: int, glyphs: Glyphs
) -> Iterator[Row]:
    """The inputs of a destination as boxes: in use now by name, patched but silent in brackets."""
    place = next(d for d in day.plan.destinations if d.id == destination)
    now = _patched(day, [link for link in needs.links if link.destination == destination])
    later = _patched(day, [link for link in day.links if link.destination == destination])
    if not now and not any(u.destination == destination for u in needs.unserved):
        return
    standing = ", ".join(tag for tag, at in day.stands.items() if at == destination)
    yield heading(
        f"{place.name or place.id}, {counted(place.inputs, 'input')}", width, glyphs, standing
    )
    rich = width >= ROOM_FOR_CHAINS
    cell = max(min((width - 1) // min(place.inputs, 8) - 1, 22 if rich else 14), 6)
    in_row = max((width - 1) // (cell + 1), 1)
    for first in range(0, place.inputs, in_row):
        numbers = range(first + 1, min(first + in_row, place.inputs) + 1)
        yield from _boxes([(n, now.get(n), later.get(n)) for n in numbers], cell, rich, glyphs)


ROOM_FOR_CHAINS = 110
"""Cells from which a box has room for the units that an input hears, under the source's name."""

_Box = tuple[int, "_Heard | None", "_Heard | None"]
"""An input with what it hears in this scene, and with what it hears on this day."""


def _boxes(boxes: Sequence[_Box], cell: int, rich: bool, glyphs: Glyphs) -> Iterator[Row]:
    """A row of inputs: numbers, who is heard, and where there is room by which units."""
    left, down, right, low_left, up, low_right = glyphs.corners
    tops = (fill(f"{number}", cell).replace(" ", glyphs.across) for number, _, _ in boxes)
    yield Row(((left + down.join(tops) + right, "dim"),))
    for at in range(3 if rich else 1):
        parts: list[Part] = []
        for _, now, later in boxes:
            heard = now or later
            words = heard.words(cell, at, in_brackets=now is None and at == 0) if heard else ""
            role: Role = "dim" if now is None or at else ""
            parts += [(glyphs.up_down, "dim"), (fill(words, cell, glyphs.dots), role)]
        yield Row((*parts, (glyphs.up_down, "dim")))
    bottom = up.join(glyphs.across * cell for _ in boxes)
    yield Row(((low_left + bottom + low_right, "dim"),))


@dataclass(frozen=True, slots=True)
class _Heard:
    """What an input hears: sources by name and by id, with the units of their chains."""

    names: tuple[str, ...]
    ids: tuple[str, ...]
    packs: tuple[str, ...]
    receivers: tuple[str, ...]

    def words(self, width: int, line: int, in_brackets: bool) -> str:
        """A line of the box: the sources, their transmitters, their receivers.

        Two in turn are both named; an id stands for a name that has no room.
        """
        lines = [" / ".join(self.names), " / ".join(self.packs), " / ".join(self.receivers)]
        around = "({})" if in_brackets else "{}"
        if line == 0 and cell_len(around.format(lines[0])) > width:
            lines[0] = " / ".join(self.ids)
        return around.format(lines[line])


def _patched(day: WorkedDay, links: Sequence[Link]) -> dict[int, _Heard]:
    """By input: what is heard there, in turn."""
    intents = {source.id: source.intent for source in day.plan.sources}
    found: dict[int, list[tuple[str, str, str, str]]] = {}
    for link in links:
        sides = ("L ", "R ") if intents[link.source] == "pair" else ("1 ", "2 ")
        for number, side in zip(
            link.inputs, sides if len(link.inputs) == 2 else ("",), strict=True
        ):
            name = _source_name(day, link.source)
            heard = (side + name, side + link.source, link.transmitter, heard_by(day, link))
            found.setdefault(number, []).append(heard)
    return {
        number: _Heard(*(tuple(dict.fromkeys(words)) for words in zip(*heard, strict=True)))
        for number, heard in found.items()
    }
