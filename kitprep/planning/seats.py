"""R2 and R4 of modules, as rows: who sits where, who stays there, and whose module is whose.

A seat is a receiver class at a destination, all its modules alike. Where naming found that modules
must be told apart, a seat is one module; it goes by a number or, where sources are fewer than
modules, by the first written of the sources that it hears.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice, pairwise

from kitprep.planning.board import Board, Route, Seat, Split, Spot, at_once
from kitprep.planning.brief import Brief, Hold, Want

MOST_GROUPS = 200
"""Groups of sources, each two of them ever together, that are written out at a spot."""


def by_source(brief: Brief, split: Split, spot: Spot) -> bool:
    """Whether the modules of a spot, told apart, go by sources: where that makes fewer of them."""
    receivers = brief.pool.receivers[spot[0]]
    return len(_hearers(brief, spot)) * split.names < len(receivers.tags) * receivers.model.modules


def _hearers(brief: Brief, spot: Spot) -> list[int]:
    """The sources that modules of a spot could hear."""
    place, destination = spot
    sources = {want.source for want in brief.wants if want.destination == destination}
    return sorted(source for source in sources if place in brief.receivers(source, destination))


def module_names(brief: Brief, split: Split, spot: Spot, source: int) -> Sequence[int]:
    """The modules of a spot that may hear a source: of those that go by sources, none later."""
    names = split.names
    if by_source(brief, split, spot):
        first = [s for s in _hearers(brief, spot) if s <= source]
        return [s * names + n for s in first for n in range(names)]
    receivers = brief.pool.receivers[spot[0]]
    return range(len(receivers.tags) * receivers.model.modules)


def seats_apart(brief: Brief, split: Split, spot: Spot) -> int:
    """How many seats the links of a spot have to choose from where its modules are told apart."""
    links = Counter(want.source for want in brief.wants if want.destination == spot[1])
    hearers = _hearers(brief, spot)
    if by_source(brief, split, spot):
        return sum(links[s] * split.names * (at + 1) for at, s in enumerate(hearers))
    receivers = brief.pool.receivers[spot[0]]
    return sum(links[s] for s in hearers) * len(receivers.tags) * receivers.model.modules


def modules_apart(
    board: Board,
    spot: Spot,
    count: int,
    wants: Mapping[Want, list[tuple[int | None, int]]],
    spans: Mapping[Want, Hold],
) -> None:
    """Each module by its name: one link at a time, and so many as the receivers there have."""
    heard: dict[int, dict[Want, int]] = defaultdict(dict)
    for want, options in wants.items():
        for name, variable in options:
            assert name is not None
            heard[name][want] = variable
    used = {name: board.program.variable() for name in sorted(heard)}
    board.used |= {(spot, name): variable for name, variable in used.items()}
    for together in at_once(spans, 0):
        for name, mine in heard.items():
            terms = {mine[want]: 1 for want in together if want in mine}
            if terms:
                board.program.at_most({**terms, used[name]: -1}, 0)
    if by_source(board.brief, board.split, spot):
        for name, variable in used.items():
            source = name // board.split.names
            own = {v: -1 for want, v in heard[name].items() if want.source == source}
            board.program.at_most({variable: 1, **own}, 0)
    else:
        for one, other in pairwise(used.values()):
            board.program.at_most({other: 1, one: -1}, 0)
    modules = board.brief.pool.receivers[spot[0]].model.modules
    board.program.at_most({**dict.fromkeys(used.values(), 1), count: -modules}, 0)


def seat_changes(board: Board) -> None:
    """Rows of who may change its seat, and what that costs."""
    sits: dict[Route, Mapping[Seat, int]] = {}
    for route, links in _routes(board).items():
        if board.split.still:
            sits[route] = _stay(board, links)
        else:
            _move(board, links)
    if board.split.still and board.split.all_served:
        _never_together(board, sits)


def _routes(board: Board) -> dict[Route, dict[Want, dict[Seat, int]]]:
    """By source and destination: its links in the order of the clock, with their seats."""
    routes: dict[Route, dict[Want, dict[Seat, int]]] = defaultdict(dict)
    for (want, seat), variable in sorted(board.heard.items(), key=lambda entry: entry[1]):
        routes[want.source, want.destination].setdefault(want, {})[seat] = variable
    return routes


def _known(links: Mapping[Want, Mapping[Seat, int]]) -> list[Seat]:
    return sorted({seat for seats in links.values() for seat in seats}, key=str)


def _stay(board: Board, links: Mapping[Want, Mapping[Seat, int]]) -> Mapping[Seat, int]:
    """One seat all day for a source at a destination."""
    if len(links) == 1:
        return next(iter(links.values()))
    sits = {seat: board.program.variable() for seat in _known(links)}
    board.program.at_most(dict.fromkeys(sits.values(), 1), 1)
    for seats in links.values():
        for seat, heard in seats.items():
            board.program.at_most({heard: 1, sits[seat]: -1}, 0)
    return sits


def _never_together(board: Board, sits: Mapping[Route, Mapping[Seat, int]]) -> None:
    """Sources of which each two are together in some scene need so many modules, all day long.

    The rows of single moments imply that only of whole modules; this says it of counts, too.
    """
    for spot, count in board.placed.items():
        here = {
            source: {seat: v for seat, v in seats.items() if seat[0] == spot[0]}
            for (source, destination), seats in sits.items()
            if destination == spot[1]
        }
        modules = board.brief.pool.receivers[spot[0]].model.modules
        for together in islice(_cliques(board, spot[1], sorted(here)), MOST_GROUPS):
            by_name: dict[int | None, list[int]] = defaultdict(list)
            for source in together:
                for (_, name), variable in here[source].items():
                    by_name[name].append(variable)
            for name, variables in by_name.items():
                limit = {count: -modules} if name is None else {board.used[spot, name]: -1}
                board.program.at_most({**dict.fromkeys(variables, 1), **limit}, 0)


def meeting(brief: Brief, wants: Iterable[Want]) -> dict[int, set[int]]:
    """By source: the others that are ever together with it in these wanted links."""
    scenes: dict[int, set[int]] = defaultdict(set)
    beside: dict[int, set[int]] = defaultdict(set)
    for want in wants:
        scenes[want.source].add(want.scene)
        beside[want.source] |= brief.together[want.scene]
    return {
        one: {
            other for other in scenes if other != one and not beside[one].isdisjoint(scenes[other])
        }
        for one in scenes
    }


def _cliques(board: Board, where: str, sources: Sequence[int]) -> Iterator[list[int]]:
    """The largest groups of sources of which each two are ever in concurrent scenes there."""
    here = set(sources)
    wants = (w for w in board.wants if w.source in here and w.destination == where)
    meets = meeting(board.brief, wants)

    def grow(group: list[int], able: set[int], done: set[int]) -> Iterator[list[int]]:
        if not able and not done:
            yield group
            return
        pivot = max(sorted(able | done), key=lambda s: len(meets[s] & able))
        for source in sorted(able - meets[pivot]):
            yield from grow([*group, source], able & meets[source], done & meets[source])
            able = able - {source}
            done = done | {source}

    return grow([], here, set())


def _move(board: Board, links: Mapping[Want, Mapping[Seat, int]]) -> None:
    """Changes of seat for a source at a destination, from one served scene to its next served one.

    A source sits somewhere in every scene, served or not; what it pays for is where it moves.
    """
    known = _known(links)
    if len(known) < 2 or len(links) < 2:
        return
    sits_before: dict[Seat, int] = {}
    for seats in links.values():
        sits = {seat: board.program.variable() for seat in known}
        board.program.equal(dict.fromkeys(sits.values(), 1), 1)
        for seat, heard in seats.items():
            board.program.at_most({heard: 1, sits[seat]: -1}, 0)
        if sits_before:
            moved = board.program.variable()
            board.moves.append(moved)
            for seat in known:
                board.program.at_most({sits[seat]: 1, sits_before[seat]: -1, moved: -1}, 0)
        sits_before = sits
