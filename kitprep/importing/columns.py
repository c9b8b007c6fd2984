"""What each column of a sheet is: guessed from its heading and its cells, settled by people."""

import csv
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from kitprep.definitions.problems import did_you_mean
from kitprep.definitions.text import shown
from kitprep.importing.figures import GRAMS
from kitprep.importing.problems import ImportProblems, Mistake, letter
from kitprep.importing.table import Table

ROLES = (
    "tag",
    "serial",
    "model",
    "firmware",
    "case",
    "weight",
    "value",
    "owner",
    "due",
    "state",
    "notes",
)
IGNORE = "ignore"
NEEDED = ("tag", "model")

# Headings met on rental lists and inventories, in four languages, as `plain` leaves them.
_WORDS: Mapping[str, tuple[str, ...]] = {
    "tag": (
        "tag", "asset", "asset tag", "asset no", "asset number", "asset id", "asset label",
        "barcode", "bar code", "qr", "label", "unit", "unit no", "inventory no",
        "inventory number", "inv no", "item no", "item number", "item id", "inventarnummer",
        "inventar nr", "etikett", "etiquette", "etiqueta", "numero d inventaire",
        "no inventaire", "code", "id", "no", "nr", "number",
    ),
    "serial": (
        "serial", "serial no", "serial number", "serialno", "sn", "s n", "seriennummer",
        "seriennr", "serien nr", "snr", "numero de serie", "no serie", "serie",
    ),
    "model": (
        "model", "modell", "modele", "modelo", "type", "typ", "tipo", "product", "item", "gerat",
        "artikel", "article", "equipment", "device", "description", "bezeichnung", "designation",
        "beschreibung", "descripcion", "name",
    ),
    "firmware": ("firmware", "fw", "firmware version", "version", "software", "sw"),
    "case": (
        "case", "flight case", "location", "where", "storage", "stored in", "packed in", "box",
        "bag", "pouch", "koffer", "kiste", "tasche", "lagerort", "caisse", "valise", "caja",
        "maleta",
    ),
    "weight": (
        "weight", "weight g", "weight kg", "mass", "gewicht", "masse", "poids", "peso",
    ),
    "value": (
        "value", "replacement value", "replacement cost", "replacement", "insured value",
        "insurance value", "price", "cost", "wert", "neuwert", "versicherungswert", "preis",
        "valeur", "prix", "valor", "precio",
    ),
    "owner": (
        "owner", "owned by", "hire", "hire ref", "hire reference", "rental", "contract",
        "contract no", "supplier", "order no", "besitzer", "eigentumer", "vermieter", "miete",
        "vertrag", "proprietaire", "loueur", "contrat", "propietario", "contrato",
    ),
    "due": (
        "due", "due date", "due back", "return", "return by", "return date", "back by",
        "hire until", "rental end", "ruckgabe", "faellig", "fallig", "zuruck am", "retour",
        "date de retour", "devolucion",
    ),
    "state": ("state", "status", "condition", "zustand", "etat", "estado"),
    "notes": (
        "notes", "note", "comment", "comments", "remarks", "remark", "bemerkung", "bemerkungen",
        "notizen", "kommentar", "remarques", "commentaire", "notas", "observaciones",
    ),
}  # fmt: skip

_ENOUGH_OF_A_COLUMN = 0.6


@dataclass(frozen=True)
class Columns:
    """The column of each role, and the weight that a bare number in the weight column counts in."""

    by_role: Mapping[str, int]
    weight_unit: str = "g"

    def role(self, column: int) -> str:
        """What a column is."""
        return next((role for role, at in self.by_role.items() if at == column), IGNORE)

    def changed(self, column: int, role: str) -> "Columns":
        """The same with one column made something else, alone in being it."""
        kept = {r: at for r, at in self.by_role.items() if at != column and r != role}
        return Columns(kept if role == IGNORE else {**kept, role: column}, self.weight_unit)


def guess(table: Table, models: Iterable[str]) -> Columns:
    """Each role's likeliest column; ``models`` are the ids and names that the kit knows."""
    bare = [plain(heading) for heading in table.headings]
    scores = {
        (role, column): score
        for role in ROLES
        for column, heading in enumerate(bare)
        if (score := _score(role, heading))
    }
    known = {name.casefold() for name in models}
    for column in range(len(table.headings)):
        if _share_known(table, column, known) >= _ENOUGH_OF_A_COLUMN:
            scores["model", column] = 1000
    found: dict[str, int] = {}
    for role, column in sorted(scores, key=lambda pair: (-scores[pair], pair[1], pair[0])):
        if role not in found and column not in found.values():
            found[role] = column
    return Columns(found, _weight_unit(bare, found.get("weight")))


def _score(role: str, heading: str) -> int:
    """100 and more for a heading that is one of the words, less where it only has one in it."""
    best = 0
    for word in _WORDS[role]:
        if heading == word:
            best = max(best, 100 + len(word))
        elif len(word) > 3 and re.search(rf"\b{word}\b", heading):
            best = max(best, len(word))
    return best


def _share_known(table: Table, column: int, known: set[str]) -> float:
    cells = [row.cell(column).casefold() for row in table.rows if row.cell(column)]
    return sum(cell in known for cell in cells) / len(cells) if cells else 0.0


def plain(heading: str) -> str:
    """Small letters without accents, one space between words."""
    letters = unicodedata.normalize("NFKD", heading.casefold())
    bare = "".join(c for c in letters if not unicodedata.combining(c))
    return re.sub(r"[^a-z0-9]+", " ", bare).strip()


def _weight_unit(headings: Sequence[str], column: int | None) -> str:
    words = headings[column].split() if column is not None else []
    return next((word for word in reversed(words) if word in GRAMS), "g")


def said(text: str, table: Table, columns: Columns) -> Columns:
    """The columns as ``tag=Asset,model=C`` changes them; a column is its heading or its letter.

    Raises:
        ImportProblems: with everything in it that cannot be followed.
    """
    mistakes = []
    for entry in next(csv.reader([text]), []):
        role, equals, name = (part.strip() for part in entry.partition("="))
        column = _column(name, table)
        if not equals:
            mistakes.append(f"--columns has {shown(entry)}; write what = column, as in tag=A")
        elif role not in (*ROLES, IGNORE):
            hint = did_you_mean(role, (*ROLES, IGNORE), "write one of " + ", ".join(ROLES))
            mistakes.append(f"--columns has {shown(role)}, which is nothing of a unit; {hint}")
        elif column is None:
            last = letter(len(table.headings) - 1)
            hint = did_you_mean(name, filter(None, table.headings), f"write a letter up to {last}")
            mistakes.append(f"--columns has no column {shown(name)} for {role}; {hint}")
        else:
            columns = columns.changed(column, role)
    if mistakes:
        raise ImportProblems(table.name, [Mistake(None, None, text) for text in mistakes])
    bare = [plain(heading) for heading in table.headings]
    return Columns(columns.by_role, _weight_unit(bare, columns.by_role.get("weight")))


def _column(name: str, table: Table) -> int | None:
    folded = name.casefold()
    for column, heading in enumerate(table.headings):
        if heading and heading.casefold() == folded:
            return column
    return next(
        (n for n in range(len(table.headings)) if letter(n).casefold() == folded),
        None,
    )


def complain_of_missing(table: Table, columns: Columns) -> None:
    """Without a tag and a model there is no unit.

    Raises:
        ImportProblems: where a needed column is not among them.
    """
    missing = [role for role in NEEDED if role not in columns.by_role]
    if missing:
        mistakes = [
            Mistake(None, None, f"no column is the {role}; say which, as in --columns {role}=A")
            for role in missing
        ]
        raise ImportProblems(table.name, mistakes)
