"""What a reader of a job may rely on, in plain dicts: every event applied as the words say it.

It knows nothing of the ledger, of folds or of planning; only which jobs want a unit at the same
hours, which is given.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping, Sequence
from typing import Any

UNFIT = ("faulty", "incomplete", "wet", "another unit's", "not seen", "with")
AWAY = ("with", "not seen")

Event = tuple[str, str, dict[str, Any]]
"""Item, kind, facts."""


def new_item() -> dict[str, Any]:
    """An item that nothing was said of: ``n`` events in all, ``ours`` the newest of its own job."""
    return {
        "n": 0,
        "ours": 0,
        "packed": 0,
        "skipped": None,
        "checks": {},
        "holder": None,
        "outcome": {},
        "outcome_holder": None,
        "answer": None,
        "cards": [],
        "cells": 0,
        "fresh": [],
        "asleep": False,
        "seen_in": [],
        "who": "",
    }


def new_job() -> dict[str, Any]:
    """A job of which nothing was said; ``fixed`` is what it is without once it has gone out."""
    return {
        "stage": "planned",
        "items": {},
        "swaps": [],
        "spares": set(),
        "withdrawn": set(),
        "fixed": None,
    }


def new_unit() -> dict[str, Any]:
    """A unit that no job has had."""
    return {"n": 0, "claims": {}, "condition": None, "from": "", "contests": [], "left": {}}


class Model:
    """All jobs of a kit, as they are; and the log, in the order in which it came about."""

    def __init__(
        self, units: Sequence[str], numbers: Mapping[str, int], clash: Callable[[str, str], bool]
    ) -> None:
        self.units = set(units)
        self.numbers = numbers
        self.clash = clash
        self.jobs: dict[str, dict[str, Any]] = {}
        self.kit: dict[str, dict[str, Any]] = {}
        self.log: list[tuple[str, str, str, str]] = []

    def job(self, name: str) -> dict[str, Any]:
        return self.jobs.setdefault(name, new_job())

    def unit(self, tag: str) -> dict[str, Any]:
        return self.kit.setdefault(tag, new_unit())

    def seen_now(self, name: str) -> tuple[dict[str, Any], dict[str, Any]]:
        """What someone sees who looks now: the job and the kit."""
        return copy.deepcopy(self.job(name)), copy.deepcopy(self.kit)

    # What comes of an attempt

    def foresee(
        self, name: str, view: tuple[dict[str, Any], dict[str, Any]], events: Sequence[Event]
    ) -> str | tuple[str, str]:
        """ "ok", "closed", "not now", "overtaken", or the contested unit and the job that has it.

        Whoever is told that another job's word came first looks again, and then tries again.
        """
        mine, kit = view
        if mine["stage"] == "closed":
            return "closed"
        if any(self.not_now(mine, event) for event in events):
            return "not now"
        then = {item: mine["items"].get(item, new_item()) for item, _, _ in events}
        seen = {item: state["n"] for item, state in then.items()}
        while True:
            claims = [item for event in events for item in self._claimed(name, event)]
            contest = next(
                (
                    (tag, has)
                    for tag in claims
                    for has in kit.get(tag, new_unit())["claims"]
                    if self.clash(name, has)
                ),
                None,
            )
            for item in [contest[0]] if contest else [event[0] for event in events]:
                now = self.job(name)["items"].get(item, new_item())
                if now["n"] != seen[item]:
                    kit = self.kit
                    if now["ours"] != then[item]["ours"]:
                        return "overtaken"
                    seen[item] = now["n"]
                    break
            else:
                touched = [contest[0]] if contest else self._touched(name, events)
                moved = [t for t in touched if kit.get(t, new_unit())["n"] != self.unit(t)["n"]]
                if not moved:
                    return contest or "ok"
                kit = self.kit
                if moved[0] in claims and self.unfit_for(name, moved[0]):
                    return "overtaken"

    @staticmethod
    def not_now(mine: dict[str, Any], event: Event) -> bool:
        """Whether that cannot be said of the job as it stands."""
        item, kind, facts = event
        state, out = mine["items"].get(item, new_item()), mine["stage"] in ("out", "returned")
        match kind:
            case "packed" | "unpacked" | "skipped":
                return out
            case "added" | "returned" | "moved":
                return not out
            case "handed":
                return not state["packed"]
            case "card":
                order = ("copied", "verified", "formatted")
                due = order[len(state["cards"]) :][:1]
                here = state["packed"] and any(state["outcome"].values())
                return not (out and here and due == (facts["step"],))
        return False

    def _touched(self, name: str, events: Sequence[Event]) -> list[str]:
        """What the kit is told of."""
        return [
            item
            for item, kind, facts in events
            if (item in self.numbers and kind in ("packed", "unpacked", "returned"))
            or (
                item in self.units
                and (
                    kind in ("packed", "added", "unpacked")
                    or (kind == "returned" and any(facts["counts"].values()))
                    or self._claimed(name, (item, kind, facts))
                )
            )
        ]

    def _claimed(self, name: str, event: Event) -> list[str]:
        item, kind, facts = event
        out_again = (
            kind == "returned"
            and not any(facts["counts"].values())
            and self.job(name)["items"].get(item, new_item())["packed"]
        )
        return [item] if item in self.units and (kind in ("packed", "added") or out_again) else []

    # What is recorded

    def contest(self, name: str, who: str, tag: str, has: str) -> None:
        """Both jobs' logs say so, and nothing else changes."""
        for job, kind in ((name, "contested"), (has, "wanted")):
            self.job(job)["items"].setdefault(tag, new_item())["n"] += 1
            self.log.append((job, who, tag, kind))
        unit = self.unit(tag)
        unit["n"] += 1
        if (name, has) not in unit["contests"]:
            unit["contests"].append((name, has))

    def record(self, name: str, who: str, events: Sequence[Event]) -> None:
        """Everything of one call: first what the job says, then what that means for the kit."""
        claimed = [self._claimed(name, event) for event in events]
        packed = [self.job(name)["items"].get(event[0], new_item())["packed"] for event in events]
        for event in events:
            self._apply(name, who, event)
        for event, were in zip(events, packed, strict=True):
            if event[0] in self.numbers:
                self._number(name, event, were)
        for (item, kind, facts), claims in zip(events, claimed, strict=True):
            if item not in self.units:
                continue
            if claims:
                self._claim(name, item)
            elif kind == "unpacked":
                self._release(name, item, None)
            elif kind == "returned" and any(facts["counts"].values()):
                outcome = next(word for word, count in facts["counts"].items() if count)
                self._release(name, item, outcome)

    def clear(self, tag: str) -> None:
        self.unit(tag)["n"] += 1
        self.unit(tag)["condition"] = None
        self.unit(tag)["left"] = {}

    def _number(self, name: str, event: Event, packed: int) -> None:
        """What goes by number: how many are out, and what did not come back as it was."""
        item, kind, facts = event
        if kind not in ("packed", "unpacked", "returned"):
            return
        unit, counts = self.unit(item), facts.get("counts", {})
        unit["n"] += 1
        had = unit["claims"].pop(name, 0)
        if kind == "returned" and any(counts.values()):
            out = max(packed - sum(counts.values()), 0)
            unit["left"].pop(name, None)
            still = {word: n for word, n in counts.items() if n and word not in ("back", "fresh")}
            if still:
                unit["left"][name] = still
            out = out if had else 0
        else:
            out = {"packed": facts.get("qty"), "unpacked": 0, "returned": packed}[kind]
            if out:
                unit["left"].pop(name, None)
        if out:
            unit["claims"][name] = out

    def _apply(self, name: str, who: str, event: Event) -> None:
        item, kind, facts = event
        job = self.job(name)
        state = job["items"].setdefault(item, new_item())
        state["n"] += 1
        state["ours"] = state["n"]
        state["who"] = who
        self.log.append((name, who, item, kind))
        if job["stage"] == "planned" and kind in ("packed", "checked", "skipped"):
            job["stage"] = "packing"
        if kind == "stage":
            job["stage"] = facts["stage"]
        if kind == "stage" and facts["stage"] in ("planned", "packing"):
            job["fixed"] = None
        elif kind == "stage" and job["fixed"] is None:
            job["fixed"] = self.unusable(name)
        CHANGES[kind](job, state, item, facts)

    def _claim(self, name: str, tag: str) -> None:
        unit = self.unit(tag)
        unit["n"] += 1
        unit["claims"].pop(name, None)
        unit["claims"][name] = 1
        unit["contests"] = [c for c in unit["contests"] if c[0] != name]
        if unit["from"] == name:
            unit["condition"] = None

    def _release(self, name: str, tag: str, outcome: str | None) -> None:
        unit = self.unit(tag)
        unit["n"] += 1
        unit["claims"].pop(name, None)
        unit["contests"] = [c for c in unit["contests"] if c[1] != name]
        if outcome in UNFIT:
            unit["condition"], unit["from"] = outcome, name
        elif outcome and (unit["from"] == name or unit["condition"] in AWAY):
            unit["condition"] = None

    # What is known between jobs

    def unfit_for(self, name: str, tag: str) -> bool:
        unit = self.unit(tag)
        if unit["condition"] is None or unit["from"] == name:
            return False
        return not (unit["condition"] in AWAY and name in unit["claims"])

    def unusable(self, name: str) -> set[str]:
        return {tag for tag in list(self.kit) if self.unfit_for(name, tag)}

    def missing(self, name: str) -> set[str]:
        """What a job is worked out without."""
        fixed = self.job(name)["fixed"]
        return self.unusable(name) if fixed is None else fixed

    def contested(self, name: str) -> dict[str, tuple[str, ...]]:
        found = {}
        for tag, unit in self.kit.items():
            wanted = tuple(wants for wants, has in unit["contests"] if has == name)
            if wanted and name in unit["claims"]:
                found[tag] = wanted
            if tag in self.numbers and name in unit["claims"]:
                others = {
                    job: n
                    for job, n in unit["claims"].items()
                    if job != name and self.at_once(tag, name, job)
                }
                there = self.numbers[tag] - self.gone(name, tag)
                if others and unit["claims"][name] + sum(others.values()) > there:
                    found[tag] = tuple(others)
        return found

    def at_once(self, key: str, one: str, other: str) -> bool:
        """Whether one number cannot be on both jobs: cells of one use are gone with either."""
        return key.startswith("cells:") or (one[:16] == other[:16] and self.clash(one, other))

    def gone(self, name: str, key: str) -> int:
        """How many other jobs used up or did not bring back."""
        left = self.unit(key)["left"]
        return sum(sum(counts.values()) for job, counts in left.items() if job != name)


Change = Callable[[dict[str, Any], dict[str, Any], str, Mapping[str, Any]], None]


def _packed(job: Any, state: Any, item: str, facts: Any) -> None:
    state["packed"], state["skipped"] = facts["qty"], None


def _added(job: Any, state: Any, item: str, facts: Any) -> None:
    state["packed"] += facts["qty"]


def _unpacked(job: Any, state: Any, item: str, facts: Any) -> None:
    state["packed"], state["skipped"], state["holder"] = 0, None, None


def _skipped(job: Any, state: Any, item: str, facts: Any) -> None:
    state["skipped"] = facts["reason"]


def _checked(job: Any, state: Any, item: str, facts: Any) -> None:
    state["checks"][facts["check"]] = facts["value"]


def _handed(job: Any, state: Any, item: str, facts: Any) -> None:
    state["holder"] = facts["holder"]


def _taken_back(job: Any, state: Any, item: str, facts: Any) -> None:
    state["holder"] = None


def _returned(job: Any, state: Any, item: str, facts: Any) -> None:
    state["outcome"], state["outcome_holder"] = facts["counts"], facts.get("holder")
    words = [word for word, count in facts["counts"].items() if count]
    if words and not set(words) & set(AWAY):
        state["holder"] = None


def _card(job: Any, state: Any, item: str, facts: Any) -> None:
    state["cards"].append(facts["step"])


def _observed(job: Any, state: Any, item: str, facts: Any) -> None:
    state["answer"] = facts["answer"]


def _cells(job: Any, state: Any, item: str, facts: Any) -> None:
    state["cells"] += 1
    state["fresh"].append(facts["minute"])


def _standby(job: Any, state: Any, item: str, facts: Any) -> None:
    state["asleep"] = facts["asleep"]


def _moved(job: Any, state: Any, item: str, facts: Any) -> None:
    state["seen_in"].append(facts["to"])


def _spare(job: Any, state: Any, item: str, facts: Any) -> None:
    (job["spares"].add if facts["taken"] else job["spares"].discard)(item)


def _withdrawn(job: Any, state: Any, item: str, facts: Any) -> None:
    (job["withdrawn"].add if facts["withdrawn"] else job["withdrawn"].discard)(item)


def _swapped(job: Any, state: Any, item: str, facts: Any) -> None:
    by = facts["by"]
    new = job["items"].setdefault(by, new_item())
    if not new["packed"] or by in job["spares"]:
        new["fresh"].append(facts["minute"])
    if (by, item) in job["swaps"]:
        job["swaps"].remove((by, item))
    else:
        job["swaps"].append((item, by))


def _stage(job: Any, state: Any, item: str, facts: Any) -> None:
    pass


CHANGES: dict[str, Change] = {
    "packed": _packed,
    "added": _added,
    "unpacked": _unpacked,
    "skipped": _skipped,
    "checked": _checked,
    "handed": _handed,
    "taken back": _taken_back,
    "returned": _returned,
    "card": _card,
    "observed": _observed,
    "cells changed": _cells,
    "standby": _standby,
    "moved": _moved,
    "spare": _spare,
    "withdrawn": _withdrawn,
    "swapped": _swapped,
    "stage": _stage,
}
