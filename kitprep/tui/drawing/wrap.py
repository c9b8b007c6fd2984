"""What went out, by holder and by case, and what has become of it."""

from kitprep.definitions.text import counted
from kitprep.planning.results import WorkedDay
from kitprep.tui.drawing.lines import (
    Glyphs,
    Part,
    Row,
    fill,
    heading,
    paragraph,
    progress,
)
from kitprep.tui.marks import CARDS, WRAP, Mark
from kitprep.walks.cautions import for_line
from kitprep.walks.log import local_time
from kitprep.walks.naming import full_name
from kitprep.walks.wrap import MEANINGS, WrapItem, WrapView, says_difference


def mark_of(item: WrapItem) -> Mark:
    """Where the thing stands; cards that are back but not seen to are no tick yet."""
    if item.mark == "back" and not item.settled:
        return CARDS
    return WRAP[item.mark]


def back_rows(view: WrapView, width: int, glyphs: Glyphs) -> list[Row]:
    """How far the count is."""
    total = len(view.items)
    if not total:
        return paragraph("nothing has been packed, so nothing can come back", width, "", "[ ] ")
    settled, back = total - len(view.unsettled), len(view.back)
    others = f", {settled - back} with another outcome" if settled > back else ""
    says = f"back {back} of {counted(total, 'line')}{others}"
    return progress(says, settled, total, width, glyphs)


def wrap_rows(view: WrapView, width: int, glyphs: Glyphs) -> list[Row]:
    """Every line that went out, in the order of the count."""
    rows: list[Row] = []
    tags = min(max((len(_tag(item)) for item in view.items), default=4), 12)
    for title, items in view.groups:
        through = sum(item.settled for item in items)
        rows.append(heading(title, width, glyphs, f"{through} of {len(items)}"))
        rows += [_row(item, tags, width, glyphs) for item in items]
    return rows


def _tag(item: WrapItem) -> str:
    return f"{item.went_out} x" if item.counted else item.line.key


def _row(item: WrapItem, tags: int, width: int, glyphs: Glyphs) -> Row:
    glyph, word, role = mark_of(item)
    became = outcome_words(item) if width >= 48 else ""
    room = max(width - 14 - tags - 1, 4)
    note = min(len(became), max(room // 2, room - 34, 0))
    parts: list[Part] = [
        (f"{glyph} ", role),
        (fill(word, 9), role),
        (f" {fill(_tag(item), tags)} ", "key"),
        (fill(item.line.name, room - note, glyphs.dots), ""),
        (fill(became, note, glyphs.dots) if note else "", role if role != "good" else "dim"),
    ]
    return Row(tuple(part for part in parts if part[0]), item.line.key)


def outcome_words(item: WrapItem) -> str:
    """What has become of it, in a few words."""
    words = []
    if item.difference and item.state.outcome:
        words.append(says_difference(item))
    elif item.contradiction:
        words.append(item.contradiction)
    for word, count in item.state.outcome.items():
        if count and (item.counted or word != "back"):
            who = f" {item.state.outcome_holder}" if word == "with" and count else ""
            words.append(f"{count} {word}{who}" if item.counted else f"{word}{who}")
    if item.state.outcome and item.cards_open is not None:
        words.append(f"to be {item.cards_open}")
    elif item.state.card_steps:
        words.append(item.state.card_steps[-1])
    if item.state.note:
        words.append(item.state.note)
    return ", ".join(word for word in words if word)


def wrapped_rows(day: WorkedDay, item: WrapItem | None, width: int, glyphs: Glyphs) -> list[Row]:
    """One line in full."""
    if item is None:
        return []
    line, state = item.line, item.state
    glyph, word, role = mark_of(item)
    rows = [heading(full_name(line), width, glyphs, f"{glyph} {word}")]
    rows += paragraph(f"why: {line.why}", width, "", " ")
    for hold in state.held:
        since = local_time(hold.since)[1][:5]
        number = f"{hold.qty} " if item.counted else ""
        rows += paragraph(f"{number}with {hold.holder} since {since}", width, "warn", " ")
    if state.outcome:
        rows += paragraph(outcome_words(item), width, role, " ")
        rows += [
            row
            for word, count in state.outcome.items()
            if count and word != "back"
            for row in paragraph(f"{word}: {MEANINGS.get(word, '')}", width, "", "   ")
        ]
    elif item.counted:
        rows += paragraph(f"{item.says_out} went out", width, "", " ")
    known = [
        f"serial {line.serial}" if line.serial else "",
        f"goes back to {line.owner}" if line.owner != "own" else "",
    ]
    if any(known):
        rows += paragraph(", ".join(part for part in known if part), width, "dim", " ")
    caution = for_line(day, line) if line.kind in ("cells", "supply") else ""
    return rows + (paragraph(caution, width, "", " ! ") if caution else [])


def closing_rows(view: WrapView, unchecked: str, width: int, glyphs: Glyphs) -> list[Row]:
    """What is signed when the job is closed; ``unchecked`` is what the line check left open."""
    back = [item for item in view.items if item.mark == "back"]
    rows = [heading("Everything has an outcome", width, glyphs)]
    rows += paragraph(f"{counted(len(back), 'line')} back, whole", width, "good", "[x] ")
    rows.append(heading("Still out: on tomorrow's list", width, glyphs, str(len(view.still_out))))
    for item in view.still_out:
        glyph, _, role = mark_of(item)
        rows += paragraph(_sentence(item), width, role, f"{glyph} ")
    looked_at = [item for item in view.items if item.mark == "look at"]
    rows.append(heading("Back, to look at", width, glyphs, str(len(looked_at))))
    for item in looked_at:
        rows += paragraph(_sentence(item), width, "warn", "[*] ")
    against = [item for item in view.items if item.against_the_log]
    if against:
        rows.append(heading("Counted against the log", width, glyphs, str(len(against))))
    for item in against:
        says = f"{full_name(item.line)}: {item.against_the_log}; {item.state.note}"
        rows += paragraph(says, width, "warn", "[?] ")
    if unchecked:
        rows.append(heading("Never checked", width, glyphs))
        rows += paragraph(unchecked, width, "warn", "[?] ")
    return rows


def _sentence(item: WrapItem) -> str:
    return f"{full_name(item.line)}: {outcome_words(item)}"
