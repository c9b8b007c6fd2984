"""R2 and R4 as linear rows over counts of identical units: what may be, and what it would cost.

Variables: whether a source takes a sender; on which seat each wanted link is heard; how many units
of each class are carried, and how many receivers of each class stand at each destination. Where
packs are handed on and their cells would need a change for it, runs of sources on one unit are told
apart (``Split.in_runs``).
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping

from kitprep.planning.board import Board, Seat, Split, Spot, at_once
from kitprep.planning.brief import Brief, Hold, Want
from kitprep.planning.pool import M, UnitClass
from kitprep.planning.runs import FRESH, join_steps, steps_within
from kitprep.planning.seats import module_names, modules_apart, seat_changes
from kitprep.planning.solver import Goal, Program, Terms


def lay_out(brief: Brief, split: Split) -> Board:
    """All variables and rows."""
    board = Board(brief, split)
    _service(board, 0)
    seat_changes(board)
    return board


def lay_service(brief: Brief, program: Program, hire: int = 0) -> Board:
    """Only what decides which links are served, as rows of a program that may hold others.

    With up to ``hire`` more units of every model where that is not 0.
    """
    board = Board(brief, Split(), program)
    _service(board, hire)
    return board


def _service(board: Board, hire: int) -> None:
    _takes(board, hire)
    _hearing(board, hire)
    _served_only_when_heard(board)
    _transmitters(board, hire)
    _adapters(board, hire)
    _receivers(board, hire)


def _may(unit_class: UnitClass[M], hire: int) -> bool:
    return bool(unit_class.tags) or (unit_class.plain and hire > 0)


def _takes(board: Board, hire: int) -> None:
    pool = board.brief.pool
    at_work = {want.source for want in board.wants}
    for source, options in board.brief.senders.items():
        if source not in at_work:
            continue
        mine = {}
        for sender in options:
            adapter = None if sender.adapter is None else pool.adapters[sender.adapter]
            if _may(pool.transmitters[sender.transmitter], hire) and (
                adapter is None or _may(adapter, hire)
            ):
                mine[sender] = board.takes[source, sender] = board.program.variable()
        _one_of(board, mine.values())


def _one_of(board: Board, options: Iterable[int]) -> None:
    """At most one of these; just one where nothing is left out."""
    terms = dict.fromkeys(options, 1)
    if board.split.all_served and terms:
        board.program.equal(terms, 1)
    else:
        board.program.at_most(terms, 1)


def _seats(board: Board, want: Want, hire: int) -> Iterator[Seat]:
    for place in board.brief.receivers(want.source, want.destination):
        if not _may(board.brief.pool.receivers[place], hire):
            continue
        if (place, want.destination) in board.split.apart:
            spot = place, want.destination
            for name in module_names(board.brief, board.split, spot, want.source):
                yield place, name
        else:
            yield place, None


def _hearing(board: Board, hire: int) -> None:
    for want in board.wants:
        if not board.brief.given_inputs(want):
            continue
        mine = {seat: board.program.variable() for seat in _seats(board, want, hire)}
        board.heard.update({(want, seat): variable for seat, variable in mine.items()})
        _one_of(board, mine.values())


def _served_only_when_heard(board: Board) -> None:
    """A link needs a sender of its source whose frequency reaches the receiver, with all others."""
    voices: dict[tuple[int, int], list[tuple[int, frozenset[int]]]] = defaultdict(list)
    by_source: dict[int, list[int]] = defaultdict(list)
    for (source, sender), variable in board.takes.items():
        by_source[source].append(variable)
        sets = board.brief.heard_sets(source, sender)
        if len(sets) == 1:
            for scene in {w.scene for w in board.wants if w.source == source}:
                voices[source, scene].append((variable, sets[0]))
            continue
        for scene in {w.scene for w in board.wants if w.source == source}:
            on = [(board.program.variable(), reached) for reached in sets]
            board.program.at_most({**{v: 1 for v, _ in on}, variable: -1}, 0)
            voices[source, scene].extend(on)
    links: dict[tuple[Want, int], list[int]] = defaultdict(list)
    served: dict[Want, list[int]] = defaultdict(list)
    by_all: dict[int, list[int]] = defaultdict(list)
    for (want, (place, _)), variable in board.heard.items():
        links[want, place].append(variable)
        served[want].append(variable)
        by_all[want.source].append(variable)
    for (want, place), variables in links.items():
        able = voices[want.source, want.scene]
        reach = {v: -1 for v, heard in able if place in heard}
        if board.split.all_served and len(reach) == len(able):
            continue  # no row that says nothing may join packs and receivers (parts.py)
        board.program.at_most({**dict.fromkeys(variables, 1), **reach}, 0)
    if board.split.all_served:
        return
    for want, variables in served.items():
        senders = dict.fromkeys(by_source[want.source], -1)
        board.program.at_most({**dict.fromkeys(variables, 1), **senders}, 0)
    for source, senders_of in by_source.items():
        # A source that no link serves carries nothing.
        heard = dict.fromkeys(by_all[source], -1)
        board.program.at_most({**dict.fromkeys(senders_of, 1), **heard}, 0)


def _extra(board: Board, model: str, hire: int) -> int:
    if model not in board.hired:
        board.hired[model] = board.program.variable(hire)
    return board.hired[model]


def _carried(board: Board, unit_class: UnitClass[M], hire: int) -> int:
    """How many of a class are carried: at most what is held, and what is hired of the model."""
    held = len(unit_class.tags)
    if not (hire and unit_class.plain):
        return board.program.variable(held)
    number = board.program.variable(held + hire)
    board.program.at_most({number: 1, _extra(board, unit_class.model.model, hire): -1}, held)
    return number


def _transmitters(board: Board, hire: int) -> None:
    brief = board.brief
    for place, unit_class in enumerate(brief.pool.transmitters):
        mine: dict[int, list[int]] = defaultdict(list)
        for (source, sender), variable in board.takes.items():
            if sender.transmitter == place:
                mine[source].append(variable)
        if not mine:
            continue
        count = board.packs[place] = _carried(board, unit_class, hire)
        for together in at_once({s: brief.holds[s] for s in mine}, brief.plan.handover_min):
            terms = {v: 1 for source in together for v in mine[source]}
            board.program.at_most({**terms, count: -1}, 0)
        if place in board.split.in_runs:
            _in_runs(board, place, mine, count)


def _in_runs(board: Board, place: int, mine: Mapping[int, list[int]], count: int) -> None:
    able = steps_within(board.brief, place, mine, board.split.excess)
    assert able is not None, "only a class whose runs can be written out is told apart"
    steps = {step: board.program.variable() for step in able}
    board.steps |= {(place, step): variable for step, variable in steps.items()}
    into = join_steps(board.program, steps)
    for source, senders in mine.items():
        taken = dict.fromkeys(senders, -1)
        board.program.equal({**dict.fromkeys(into[source], 1), **taken}, 0)
    begun = {variable: 1 for step, variable in steps.items() if step.before == FRESH}
    board.program.equal({**begun, count: -1}, 0)


def _adapters(board: Board, hire: int) -> None:
    brief = board.brief
    for place, unit_class in enumerate(brief.pool.adapters):
        mine: dict[int, list[int]] = defaultdict(list)
        for (source, sender), variable in board.takes.items():
            if sender.adapter == place:
                mine[source].append(variable)
        if not mine:
            continue
        count = board.adapters[place] = _carried(board, unit_class, hire)
        for together in at_once({s: brief.holds[s] for s in mine}, brief.plan.handover_min):
            terms = {v: 1 for source in together for v in mine[source]}
            board.program.at_most({**terms, count: -1}, 0)


def _receivers(board: Board, hire: int) -> None:
    spots: dict[Spot, dict[Want, list[tuple[int | None, int]]]] = defaultdict(dict)
    for (want, (place, module)), variable in board.heard.items():
        spots[place, want.destination].setdefault(want, []).append((module, variable))
    by_class: dict[int, list[int]] = defaultdict(list)
    for spot, wants in spots.items():
        unit_class = board.brief.pool.receivers[spot[0]]
        more = hire if unit_class.plain else 0
        count = board.placed[spot] = board.program.variable(len(unit_class.tags) + more)
        by_class[spot[0]].append(count)
        scenes = board.brief.scenes
        spans = {w: Hold(scenes[w.scene].start, scenes[w.scene].end) for w in wants}
        if spot in board.split.apart:
            modules_apart(board, spot, count, wants, spans)
            continue
        for together in at_once(spans, 0):
            terms = {v: 1 for want in together for _, v in wants[want]}
            board.program.at_most({**terms, count: -unit_class.model.modules}, 0)
    for place, counts in by_class.items():
        unit_class = board.brief.pool.receivers[place]
        terms = dict.fromkeys(counts, 1)
        if hire and unit_class.plain:
            terms[_extra(board, unit_class.model.model, hire)] = -1
        board.program.at_most(terms, len(unit_class.tags))


def served(board: Board, priority: int) -> Terms:
    """Links served of a priority."""
    sources = board.brief.sources
    return {v: 1 for (w, _), v in board.heard.items() if sources[w.source].priority == priority}


def most_served(board: Board) -> list[Goal]:
    """R4's first order: the most links of priority 1, then 2, then 3, as what to minimise."""
    wanted = Counter(board.brief.sources[want.source].priority for want in board.brief.wants)
    return [Goal(dict.fromkeys(served(board, p), -1), wanted[p]) for p in (1, 2, 3)]
