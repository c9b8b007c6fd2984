"""The packing list by case, and one of its lines in full."""

from collections.abc import Iterator

from rich.cells import cell_len

from kitprep.definitions.text import counted
from kitprep.planning.results import WorkedDay
from kitprep.tui.drawing.lines import (
    Glyphs,
    Part,
    Row,
    cut,
    fill,
    heading,
    meter,
    paragraph,
    progress,
)
from kitprep.tui.marks import PACK, Mark
from kitprep.walks.cases import shut
from kitprep.walks.cautions import for_line, lifting
from kitprep.walks.log import local_time
from kitprep.walks.naming import full_name
from kitprep.walks.pack import CaseView, PackItem, PackView
from kitprep.walks.packing_steps import goes_without, like_it, says_left, statement, surplus


def packed_rows(view: PackView, width: int, glyphs: Glyphs) -> list[Row]:
    """How far packing is."""
    total = len(view.items)
    if not total:
        return paragraph("nothing to pack: no link is served", width, "", "[ ] ")
    left_out = f", {len(view.skipped)} left out" if view.skipped else ""
    says = f"packed {view.done} of {counted(total, 'line')}{left_out}"
    return progress(says, view.done, total, width, glyphs)


def pack_rows(day: WorkedDay, view: PackView, width: int, glyphs: Glyphs) -> list[Row]:
    """Every line under its case."""
    rows = []
    tags = max((len(_tag(item)) for item in view.items), default=4)
    for number, case in enumerate(view.cases, 1):
        title = f"{number} {case.name}"
        rows.append(heading(title, width, glyphs, f"{_kilos(day, case)}{_done(case)}"))
        rows += [_row(item, min(tags, 12), width, glyphs) for item in case.items]
    return rows


def _done(case: CaseView) -> str:
    counted_in = {"shut": ", shut", "differs": ", out of count", "": ""}[shut(case)]
    return f"{case.done} of {len(case.items)}{counted_in}"


def _kilos(day: WorkedDay, case: CaseView) -> str:
    load = next((load for load in day.cases if load.case == case.case), None)
    if load is None or not load.weight_g:
        return ""
    limit = f" of {load.limit_g / 1000:g}" if load.limit_g is not None else ""
    unknown = "+" if load.unknown else ""
    return f"{load.weight_g / 1000:.1f}{unknown}{limit} kg, "


def _tag(item: PackItem) -> str:
    if not item.counted:
        return item.line.key
    done, needed = item.state.packed, item.line.qty
    return f"{done} of {needed}" if done not in (0, needed) else f"{needed} x"


def _mark(item: PackItem) -> Mark:
    """What was packed with a doubt is packed, and has the doubt's glyph; what is in only in part,
    and was left at that, is short."""
    glyph, word, role = PACK[item.mark]
    if item.mark == "skipped" and item.state.packed:
        return glyph, PACK["short"][1], role
    if item.mark != "packed" or not item.doubts:
        return glyph, word, role
    differs = any(doubt.worth != "unverified" for doubt in item.doubts)
    return "[!]" if differs else "[?]", word, "warn"


def _row(item: PackItem, tags: int, width: int, glyphs: Glyphs) -> Row:
    glyph, word, role = _mark(item)
    note = _note(item, width, glyphs)
    name = max(width - 3 - 1 - 9 - 1 - tags - 1 - len(note), 4)
    why = ""
    if width >= 100:
        name, room = 38, max(width - 15 - tags - 38 - len(note) - 2, 0)
        why = fill(item.line.why, room, glyphs.dots) + " "
    parts: list[Part] = [
        (f"{glyph} ", role),
        (fill(word, 9), role),
        (f" {fill(_tag(item), tags)} ", "key"),
        (fill(item.line.name, name, glyphs.dots), ""),
        (why, "dim"),
        (note, role if role != "good" else "dim"),
    ]
    return Row(tuple(part for part in parts if part[0]), item.line.key)


def _note(item: PackItem, width: int, glyphs: Glyphs) -> str:
    if width < 44:
        return ""
    if item.mark == "short":
        return f" {item.line.held} held "
    if item.mark == "packed" and item.doubts:
        more = len(item.doubts) - 1
        doubt = cut(item.doubts[0].brief, 22, glyphs.dots)
        return f" {doubt}{f', {more} more' if more else ''} "
    if item.state.checks and not item.finished:
        return f" {len(item.line.checks) - len(item.to_read)}/{len(item.line.checks)} read "
    if item.mark == "packed" and item.to_read:
        return " not read "
    if item.state.packed > item.line.held:
        return f" {item.line.held} held "
    return f" {item.state.packed - item.line.qty} extra " if surplus(item) else ""


def line_rows(day: WorkedDay, item: PackItem | None, width: int, glyphs: Glyphs) -> list[Row]:
    """One line in full: why it goes, what was read on it, what to take care of."""
    if item is None:
        return []
    line, state = item.line, item.state
    glyph, word, role = _mark(item)
    rows = [heading(full_name(line), width, glyphs, f"{glyph} {word}")]
    rows += paragraph(f"why: {line.why}", width, "", " ")
    if state.skipped is not None and item.mark == "skipped":
        rows += paragraph(says_left(item), width, "warn", " ")
        if lost := goes_without(day, item):
            rows += paragraph(lost, width, "warn", " ")
    elif item.mark == "part":
        rows += paragraph(f"{state.packed} of {line.qty} are in", width, role, " ")
    elif line.held < line.qty:
        rows += paragraph(f"{line.held} held of {line.qty} needed", width, "bad", " ")
    elif surplus(item):
        rows += paragraph(f"{state.packed} are in, {surplus(item)}", width, "warn", " ")
    if line.checks:
        rows += _readings(item, width)
    if any(value == "no" for value in state.checks.values()):
        like = like_it(day, item)
        says = f"like it, not on the list: {', '.join(like)}" if like else "none like it is free"
        rows += paragraph(says, width, "warn", " ")
    caution = for_line(day, line)
    if caution:
        rows += paragraph(caution, width, "", " ! ")
    known = [
        f"serial {line.serial}" if line.serial else "",
        f"from {line.owner}" if line.owner != "own" else "",
        f"by {state.who} at {local_time(state.at)[1][:5]}" if state.at else "",
    ]
    if any(known):
        rows += paragraph(", ".join(part for part in known if part), width, "dim", " ")
    return rows


def _readings(item: PackItem, width: int) -> list[Row]:
    worth = {doubt.check: doubt.worth for doubt in item.doubts}
    parts = []
    for check in item.line.checks:
        value = item.state.checks.get(check)
        if value is None:
            parts.append(f"[ ] {check}")
            continue
        glyph = {"": "[x]", "unverified": "[?]"}.get(worth.get(check, ""), "[!]")
        parts.append(f"{glyph} {check} {value}")
    lines: list[str] = []
    for part in parts:  # a reading stays in one piece at the end of a line
        if lines and cell_len(lines[-1]) + 3 + cell_len(part) < width:
            lines[-1] += f"   {part}"
        else:
            lines.append(part)
    return [Row(((f" {cut(line, width - 1)}", ""),)) for line in lines]


def case_rows(view: PackView, here: str | None, width: int, glyphs: Glyphs) -> Iterator[Row]:
    """All cases with how far each is, where there is room beside the list."""
    yield heading("Cases", width, glyphs, f"{view.done} of {len(view.items)}")
    for number, case in enumerate(view.cases, 1):
        done = case.done == len(case.items)
        mark = "[x]" if done else "[~]" if case.done else "[ ]"
        at = ">" if case.case == here else " "
        yield Row(
            (
                (f"{at}{mark} {number} ", "good" if done else "key"),
                (fill(case.name, max(width - 26, 8), glyphs.dots), "good" if done else ""),
                (f"{case.done:>3}/{len(case.items):<3} ", ""),
                (meter(case.done, len(case.items), 10, glyphs), "good" if done else ""),
            )
        )
    yield Row(())


def statement_rows(day: WorkedDay, view: PackView, width: int, glyphs: Glyphs) -> list[Row]:
    """What is signed when packing is over."""
    said = statement(day, view)
    total = len(view.items)
    rows = [heading("Packing is complete", width, glyphs)]
    rows += paragraph(f"{said.packed} of {counted(total, 'line')} packed", width, "good", "[x] ")
    rows.append(heading("Left out, with a reason", width, glyphs, str(len(said.left_out))))
    for item in said.left_out:
        lost = goes_without(day, item)
        says = f"{full_name(item.line)} {says_left(item)}{f'; {lost}' if lost else ''}"
        rows += paragraph(says, width, "warn", "[-] ")
    rows.append(heading("Read, and not as wanted", width, glyphs, str(len(said.differs))))
    for doubt in said.differs:
        rows += paragraph(doubt.says, width, "warn", "[!] ")
    rows.append(heading("Not checked", width, glyphs, str(len(said.unverified))))
    for doubt in said.unverified:
        rows += paragraph(doubt.says, width, "warn", "[?] ")
    if said.surplus:
        rows.append(heading("Too many", width, glyphs, str(len(said.surplus))))
    for item in said.surplus:
        says = f"{full_name(item.line)}: {item.state.packed} are in, {surplus(item)}"
        rows += paragraph(says, width, "warn", "[!] ")
    rows.append(heading("Cases", width, glyphs))
    missing = said.counts.not_counted
    rows += paragraph(
        said.counts.says, width, "warn" if missing else "good", "[?] " if missing else "[x] "
    )
    for load in said.cases:
        limit = f" of {load.limit_g / 1000:g}" if load.limit_g is not None else ""
        over = load.limit_g is not None and load.weight_g > load.limit_g
        says = (
            f"{load.name}: {load.weight_g / 1000:.1f}{limit} kg{', over its limit' if over else ''}"
        )
        case = next((case for case in view.cases if case.case == load.case), None)
        if case is not None and shut(case) == "shut":
            says += f", shut at {counted(case.state.count or 0, 'piece')}"
        rows += paragraph(says, width, "bad" if over else "", "[!] " if over else "  - ")
        if load.unknown:
            rows += paragraph(f"not weighed: {', '.join(load.unknown)}", width, "dim", "    ")
        if lifting(load):
            rows += paragraph(lifting(load), width, "", "  ! ")
    return rows
