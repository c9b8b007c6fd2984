"""Random TOML as a person might write it, each line with the entry that it belongs to."""

from dataclasses import dataclass, field

from hypothesis import strategies as st

Keys = tuple[str | int, ...]

STRINGS = ['"a"', "'b'", '"quay # one"', '"[[source]]"', '"é ]"', '"tab\\tand \\"q\\""']
VALUES = [
    *STRINGS,
    "1",
    "2.5",
    "true",
    "2027-03-14",
    "[[518.0, 572.0], [1, 2]]",
    "{ x = 1, y = [1, 2] }",
    '"""\n[[source]]\n# no comment\n"""',
    "'''\nid = 1 # no comment\n'''",
    '"""\n# no comment"""',
]


@dataclass
class Draft:
    """Lines with their owners: the way to an entry, or None for what is nobody's."""

    lines: list[tuple[str, Keys | None]] = field(default_factory=list)
    comments: int = 0

    def comment(self) -> str:
        self.comments += 1
        return f"# c{self.comments} ["

    def write(self, line: str, owner: Keys | None) -> None:
        self.lines += [(part, owner) for part in line.split("\n")]


@st.composite
def texts(draw: st.DrawFn) -> Draft:
    """A file with a few keys, sources and scenes in any order, models with units."""
    made = Draft()
    floating(draw, made)
    for key in ("kit", "title"):
        pair(draw, made, key, draw(st.sampled_from(STRINGS)), None, "")
        floating(draw, made)
    counts = {"source": 0, "scene": 0, "model": 0}
    if draw(st.integers(0, 3)) == 0:
        inline_entries(draw, made, "source")
        counts.pop("source")
    for _ in range(draw(st.integers(1, 6))):
        name = draw(st.sampled_from(sorted(counts)))
        entry: Keys = (name, counts[name])
        counts[name] += 1
        indent = draw(st.sampled_from(["", "", "  ", "\t"]))
        table(draw, made, entry, f"[[{spelt(draw, name)}]]", indent)
        if name == "model":
            units(draw, made, entry, indent)
        floating(draw, made)
    floating(draw, made)
    return made


def units(draw: st.DrawFn, made: Draft, model: Keys, indent: str) -> None:
    if draw(st.integers(0, 4)) == 0:
        inline_entries(draw, made, "unit", model, indent)
        return
    for number in range(draw(st.integers(0, 3))):
        floating(draw, made)
        inner = indent + draw(st.sampled_from(["", "  "]))
        table(draw, made, (*model, "unit", number), f"[[ model . {spelt(draw, 'unit')} ]]", inner)


def spelt(draw: st.DrawFn, name: str) -> str:
    return draw(st.sampled_from([name, name, f'"{name}"', f"'{name}'"]))


def table(draw: st.DrawFn, made: Draft, entry: Keys, header: str, indent: str) -> None:
    for _ in range(draw(st.sampled_from([0, 0, 1, 2]))):
        made.write(indent + made.comment(), entry)
    made.write(indent + header + trailing(draw, made), entry)
    for key in draw(st.permutations(["id", "n", "to", "x"]))[: draw(st.integers(0, 4))]:
        value = array(draw, made) if key == "to" else draw(st.sampled_from(VALUES))
        pair(draw, made, key, value, entry, indent)
        if draw(st.integers(0, 5)) == 0:
            made.write(indent + made.comment(), entry)
            pair(draw, made, f"k{made.comments}", "1", entry, indent)


def pair(
    draw: st.DrawFn, made: Draft, key: str, value: str, owner: Keys | None, indent: str
) -> None:
    equals = draw(st.sampled_from([" = ", "=", "  = "]))
    made.write(indent + key + equals + value + trailing(draw, made), owner)


def trailing(draw: st.DrawFn, made: Draft) -> str:
    return (
        f"  {made.comment()}"
        if draw(st.integers(0, 3)) == 0
        else draw(st.sampled_from(["", "", " "]))
    )


def array(draw: st.DrawFn, made: Draft) -> str:
    items = draw(st.lists(st.sampled_from(['"a"', '"b"', "'c'", '"d:1"']), max_size=4, unique=True))
    if draw(st.booleans()):
        return f"[{', '.join(items)}{',' if items and draw(st.booleans()) else ''}]"
    lines = ["["]
    for number, item in enumerate(items):
        if draw(st.integers(0, 4)) == 0:
            lines.append(f"    {made.comment()}")
        comma = "," if number + 1 < len(items) or draw(st.booleans()) else ""
        lines.append(f"    {item}{comma}{trailing(draw, made)}")
    return "\n".join([*lines, "]"])


def inline_entries(
    draw: st.DrawFn, made: Draft, key: str, above: Keys = (), indent: str = ""
) -> None:
    """A list of tables written as a value; its lines are the list's."""
    count = draw(st.integers(1, 3))
    entries = [f'{{ id = "{key}{n}", n = {n} }}' for n in range(count)]
    entries[0] = draw(st.sampled_from([entries[0], "{}"]))
    if draw(st.booleans()):
        made.write(f"{indent}{key} = [{', '.join(entries)}]", (*above, key))
        return
    made.write(f"{indent}{key} = [", (*above, key))
    for number, entry in enumerate(entries):
        comma = "," if number + 1 < count or draw(st.booleans()) else ""
        made.write(f"{indent}  {entry}{comma}{trailing(draw, made)}", (*above, key))
    made.write(f"{indent}]", (*above, key))


def floating(draw: st.DrawFn, made: Draft) -> None:
    """Blank lines, and comments that stand apart between them."""
    if draw(st.booleans()):
        return
    made.lines += [("", None)] * draw(st.integers(1, 2))
    if draw(st.booleans()):
        made.write(made.comment(), None)
        made.lines += [("", None)] * draw(st.integers(1, 2))
