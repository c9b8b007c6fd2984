"""R4 for a part of the day: what still works stays as it is, and only the rest is given anew.

By R4's orders, over single units: the most links served of priority 1, then 2, then 3; then the
fewest of them on another module than before; the fewest changes of module; the fewest scenes that
outlast a set; the fewest units that come into use; the fewest planned changes of cells; the lowest
tags. Weight is left out: all of it is carried already. A receiver stays at its destination.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

from kitprep.planning.board import Route, at_once
from kitprep.planning.brief import Brief, Hold, Want
from kitprep.planning.chains import Sender
from kitprep.planning.naming import Selection
from kitprep.planning.pool import natural
from kitprep.planning.solver import Budget, Program, Solver, Terms, total

Pack = tuple[str, str | None]
"""A transmitter and its adapter, by tag."""
Seat = tuple[str, int]
"""A receiver by tag, and a module of it."""


@dataclass(frozen=True)
class _Kept:
    """What of a selection still works with what there is."""

    day: Brief
    before: Selection

    @cached_property
    def packs(self) -> dict[int, Pack]:
        """By source: the transmitter and adapter that it keeps."""
        there = self.day.pool.tags
        given = {
            s: (tag, self.before.adapters.get(s)) for s, tag in self.before.transmitters.items()
        }
        return {s: p for s, p in given.items() if all(t in there for t in p if t is not None)}

    @cached_property
    def seats(self) -> dict[Want, Seat]:
        """By link: the module that it keeps."""
        there = self.day.pool.tags
        return {
            want: seat
            for want, seat in self.before.modules.items()
            if want.source in self.packs and seat[0] in there
        }

    @cached_property
    def stands(self) -> dict[str, str]:
        """Where receivers stand, in use still or not."""
        there = self.day.pool.tags
        return {tag: at for tag, at in self.before.stands.items() if tag in there}

    @cached_property
    def open(self) -> list[Want]:
        """Links to serve that nothing serves now."""
        return [w for w in self.day.wants if w not in self.seats and self.day.given_inputs(w)]

    def sender(self, pack: Pack) -> Sender:
        """A pack as places in the pool."""
        tag, adapter = pack
        pool = self.day.pool
        places = [n for n, c in enumerate(pool.adapters) if adapter in c.tags]
        transmitter = next(n for n, c in enumerate(pool.transmitters) if tag in c.tags)
        return Sender(transmitter, places[0] if places else None)

    def place(self, receiver: str) -> int:
        """A receiver's class in the pool."""
        return next(n for n, c in enumerate(self.day.pool.receivers) if receiver in c.tags)


@dataclass
class _Board:
    """The program and the meaning of its variables."""

    kept: _Kept
    program: Program = field(default_factory=Program)
    takes: dict[tuple[int, Pack], int] = field(default_factory=dict)
    heard: dict[tuple[Want, Seat], int] = field(default_factory=dict)
    placed: dict[tuple[str, str], int] = field(default_factory=dict)
    moves: list[int] = field(default_factory=list)
    fresh: list[int] = field(default_factory=list)


def mended(day: Brief, before: Selection, solver: Solver, seconds: float) -> Selection:
    """The selection with what no longer works given anew out of the day's pool, within a time."""
    budget = Budget.of(seconds)
    kept = _Kept(day, before)
    board = _Board(kept)
    _packs(board)
    _seats(board)
    _voices(board)
    _sittings(board)
    _fresh_units(board)
    values: tuple[int, ...] = (0,) * len(board.program.upper)
    for objective in _goals(board):
        answer = solver(board.program, objective, budget.left) if objective else None
        if answer is not None:
            values = answer.values
            board.program.at_most(objective, total(objective, values))
    return _selection(board, values)


def _packs(board: _Board) -> None:
    """Who could take which pack: one that nobody has in those hours."""
    kept, day = board.kept, board.kept.day
    touched = dict.fromkeys(want.source for want in kept.open if want.source not in kept.packs)
    for source in touched:
        for sender in day.senders[source]:
            adapters: Iterable[str | None] = (None,)
            if sender.adapter is not None:
                adapters = day.pool.adapters[sender.adapter].tags
            for tag in day.pool.transmitters[sender.transmitter].tags:
                for adapter in adapters:
                    if _free(kept, source, tag) and _free(kept, source, adapter):
                        board.takes[source, (tag, adapter)] = board.program.variable()
    by_source: dict[int, list[int]] = defaultdict(list)
    by_tag: dict[str, dict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
    for (source, pack), variable in board.takes.items():
        by_source[source].append(variable)
        for part in filter(None, pack):
            by_tag[part][source].append(variable)
    for variables in by_source.values():
        board.program.at_most(dict.fromkeys(variables, 1), 1)
    for takers in by_tag.values():
        for together in at_once({s: day.holds[s] for s in takers}, day.plan.handover_min):
            board.program.at_most({v: 1 for source in together for v in takers[source]}, 1)


def _free(kept: _Kept, source: int, tag: str | None) -> bool:
    """Whether nobody who keeps it has this unit while a source would hold it."""
    day, pause = kept.day, kept.day.plan.handover_min
    mine = day.holds[source]
    return tag is None or not any(
        tag in pack
        and day.holds[s].start < mine.end + pause
        and mine.start < day.holds[s].end + pause
        for s, pack in kept.packs.items()
    )


def _seats(board: _Board) -> None:
    """Which modules could serve a link: of receivers that stand there, or nowhere yet."""
    kept, day = board.kept, board.kept.day
    for want in kept.open:
        if want.source not in day.senders:
            continue
        for place in day.receivers(want.source, want.destination):
            receiver = day.pool.receivers[place]
            for tag in receiver.tags:
                if kept.stands.get(tag, want.destination) != want.destination:
                    continue
                for module in range(1, receiver.model.modules + 1):
                    if not _busy(kept, want, (tag, module)):
                        variable = board.heard[want, (tag, module)] = board.program.variable()
                        _placed(board, tag, want.destination, variable)
    by_want: dict[Want, list[int]] = defaultdict(list)
    by_seat: dict[Seat, dict[Want, int]] = defaultdict(dict)
    for (want, seat), variable in board.heard.items():
        by_want[want].append(variable)
        by_seat[seat][want] = variable
    for variables in by_want.values():
        board.program.at_most(dict.fromkeys(variables, 1), 1)
    for wants in by_seat.values():
        spans = {w: Hold(day.scenes[w.scene].start, day.scenes[w.scene].end) for w in wants}
        for together in at_once(spans, 0):
            board.program.at_most({wants[want]: 1 for want in together}, 1)
    at: dict[str, list[int]] = defaultdict(list)
    for (tag, _), variable in board.placed.items():
        at[tag].append(variable)
    for variables in at.values():
        board.program.at_most(dict.fromkeys(variables, 1), 1)


def _busy(kept: _Kept, want: Want, seat: Seat) -> bool:
    scene = kept.day.scenes[want.scene]
    return any(
        other == seat and scene.overlaps(kept.day.scenes[w.scene])
        for w, other in kept.seats.items()
    )


def _placed(board: _Board, tag: str, destination: str, heard: int) -> None:
    """A receiver that stands nowhere yet can be put at one destination."""
    if tag in board.kept.stands:
        return
    key = (tag, destination)
    if key not in board.placed:
        board.placed[key] = board.program.variable()
    board.program.at_most({heard: 1, board.placed[key]: -1}, 0)


def _voices(board: _Board) -> None:
    """In each scene a pack is heard on one frequency, and a pack that no link serves stays away."""
    kept, day = board.kept, board.kept.day
    links: dict[tuple[int, int], dict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
    of_source: dict[int, dict[int, int]] = defaultdict(dict)
    for (want, (tag, _)), variable in board.heard.items():
        links[want.source, want.scene][kept.place(tag)].append(variable)
        of_source[want.source][variable] = -1
    for (source, scene), by_class in links.items():
        here = {kept.place(tag) for w, (tag, _) in kept.seats.items() if _is(w, source, scene)}
        reach: list[tuple[int, frozenset[int]]] = []
        for sender, takes in _senders(board, source).items():
            for heard in day.heard_sets(source, sender):
                if here <= heard:
                    voice = board.program.variable()
                    reach.append((voice, heard))
                    if takes is not None:
                        board.program.at_most({voice: 1, **dict.fromkeys(takes, -1)}, 0)
        board.program.at_most({voice: 1 for voice, _ in reach}, 1)
        for place, variables in by_class.items():
            for variable in variables:
                voices = {voice: -1 for voice, heard in reach if place in heard}
                board.program.at_most({variable: 1, **voices}, 0)
    for (source, _), taken in board.takes.items():
        board.program.at_most({taken: 1, **of_source[source]}, 0)


def _is(want: Want, source: int, scene: int) -> bool:
    return want.source == source and want.scene == scene


def _senders(board: _Board, source: int) -> dict[Sender, list[int] | None]:
    """What a source may send with, and the variables of that; None for what it keeps."""
    kept = board.kept
    if source in kept.packs:
        return {kept.sender(kept.packs[source]): None}
    found: dict[Sender, list[int]] = defaultdict(list)
    for (taker, pack), variable in board.takes.items():
        if taker == source:
            found[kept.sender(pack)].append(variable)
    return dict(found)


def _sittings(board: _Board) -> None:
    """Changes of module from one scene to the next, over links that are kept and links that are
    not: a source sits somewhere in every scene, and pays where that is another module."""
    kept = board.kept
    routes: dict[Route, list[Want]] = defaultdict(list)
    for want in kept.day.wants:
        if want in kept.seats or any(w == want for w, _ in board.heard):
            routes[want.source, want.destination].append(want)
    for wants in routes.values():
        if len(wants) < 2 or all(want in kept.seats for want in wants):
            continue
        mine = set(wants)
        known = {seat for want, seat in board.heard if want in mine}
        known |= {kept.seats[want] for want in wants if want in kept.seats}
        sits = []
        for want in wants:
            at = {seat: board.program.variable() for seat in sorted(known)}
            board.program.equal(dict.fromkeys(at.values(), 1), 1)
            if want in kept.seats:
                board.program.equal({at[kept.seats[want]]: 1}, 1)
            for seat in known:
                if (want, seat) in board.heard:
                    board.program.at_most({board.heard[want, seat]: 1, at[seat]: -1}, 0)
            sits.append(at)
        for one, other in pairwise(sits):
            moved = board.program.variable()
            board.moves.append(moved)
            for seat in known:
                board.program.at_most({other[seat]: 1, one[seat]: -1, moved: -1}, 0)


def _fresh_units(board: _Board) -> None:
    """Units that come into use."""
    kept = board.kept
    in_use = {part for pack in kept.packs.values() for part in pack}
    users: dict[str, list[int]] = defaultdict(list)
    for (_, pack), variable in board.takes.items():
        for part in pack:
            if part is not None and part not in in_use:
                users[part].append(variable)
    for variables in users.values():
        fresh = board.program.variable()
        board.fresh.append(fresh)
        for variable in variables:
            board.program.at_most({variable: 1, fresh: -1}, 0)
    board.fresh += board.placed.values()


def _goals(board: _Board) -> Iterator[Terms]:
    """R4's orders over what is given anew, as what to minimise."""
    kept, day = board.kept, board.kept.day
    for priority in (1, 2, 3):
        served = {
            v: -1 for (w, _), v in board.heard.items() if day.sources[w.source].priority == priority
        }
        yield served
    yield {v: 1 for (w, seat), v in board.heard.items() if kept.before.modules.get(w, seat) != seat}
    yield dict.fromkeys(board.moves, 1)
    models = day.pool.transmitters
    outlasting, changes = {}, {}
    for (source, pack), variable in board.takes.items():
        model = models[kept.sender(pack).transmitter].model
        before = [s for s, own in kept.packs.items() if own[0] == pack[0]]
        outlasting[variable] = day.outlasted(source, model)
        changes[variable] = day.planned_changes((*before, source), model)
    yield outlasting
    yield dict.fromkeys(board.fresh, 1)
    yield changes
    yield from _lowest_tags(board)


def _lowest_tags(board: _Board) -> Iterator[Terms]:
    sources: dict[int, list[tuple[Pack, int]]] = defaultdict(list)
    for (source, pack), variable in board.takes.items():
        sources[source].append((pack, variable))
    for _, mine in sorted(sources.items()):
        mine.sort(key=lambda option: (natural(option[0][0]), natural(option[0][1] or "")))
        yield {variable: rank for rank, (_, variable) in enumerate(mine)}
    seats = sorted({seat for _, seat in board.heard}, key=lambda s: (natural(s[0]), s[1]))
    ranks = {seat: rank for rank, seat in enumerate(seats)}
    yield {variable: ranks[seat] for (_, seat), variable in board.heard.items()}


def _selection(board: _Board, values: tuple[int, ...]) -> Selection:
    """The selection that the values say, beside what is kept."""
    kept, day = board.kept, board.kept.day
    modules = kept.seats | {want: seat for (want, seat), v in board.heard.items() if values[v]}
    heard = {want.source for want in modules}
    taken = {source: pack for (source, pack), v in board.takes.items() if values[v]}
    packs = {s: pack for s, pack in (kept.packs | taken).items() if s in heard}
    stands = kept.stands | {tag: at for (tag, at), v in board.placed.items() if values[v]}
    in_use = {tag for tag, _ in modules.values()}
    return Selection(
        {source: tag for source, (tag, _) in packs.items()},
        {source: adapter for source, (_, adapter) in packs.items() if adapter is not None},
        {want: modules[want] for want in day.wants if want in modules},
        {tag: at for tag, at in stands.items() if tag in in_use},
        {source: kept.sender(pack) for source, pack in packs.items()},
        {tag: kept.place(tag) for tag in stands if tag in in_use},
        frozenset(),
        frozenset(),
    )
