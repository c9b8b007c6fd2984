"""Every plan there is, for kits and days small enough to try them all."""

from collections.abc import Iterator
from itertools import groupby, product

from .contract import Contract, Score, Seat, Sender, Want, overlap

Reached = tuple[tuple[str, frozenset[frozenset[str]]], ...]
"""By source that is heard: the receivers that its pack must reach together, scene by scene."""


def best(contract: Contract) -> Score:
    """The lowest score of any plan.

    Links first, those that are best in R4's first two orders before the others; then, for all that
    are equal in these, every pack and adapter for every source.
    """
    ranked = sorted(_seatings(contract), key=contract.links_score)
    for first_orders, alike in groupby(ranked, key=contract.links_score):
        needs = {(_reached(seats), frozenset(tag for tag, _ in seats.values())) for seats in alike}
        scores = [
            contract.carried_score(senders, receivers)
            for reached, receivers in needs
            for senders in _with_senders(contract, reached)
        ]
        if scores:
            return Score(*first_orders, *min(scores))
    raise AssertionError("serving nothing is always a plan")


def _seatings(contract: Contract) -> Iterator[dict[Want, Seat]]:
    """Every way to put links on modules; whether a pack is heard there is not yet asked."""
    every = [
        (tag, number + 1)
        for tag, (model, _) in contract.receivers.items()
        for number in range(model.modules)
    ]

    def rest(wants: list[Want], seats: dict[Want, Seat]) -> Iterator[dict[Want, Seat]]:
        if not wants:
            yield dict(seats)
            return
        want, *others = wants
        yield from rest(others, seats)
        number, source, where = want
        if not contract.inputs[source, where]:
            return
        for seat in every:
            if contract.may_hear(contract.sources[source], where, seat[0]) and not any(
                (other == seat and overlap(contract.scenes[number], contract.scenes[at[0]]))
                or (other[0] == seat[0] and at[2] != where)
                for at, other in seats.items()
            ):
                yield from rest(others, {**seats, want: seat})

    return rest(contract.wants, {})


def _reached(seats: dict[Want, Seat]) -> Reached:
    by_source: dict[str, dict[str, set[str]]] = {}
    for (number, source, _), (tag, _) in seats.items():
        by_source.setdefault(source, {}).setdefault(number, set()).add(tag)
    return tuple(
        (source, frozenset(frozenset(tags) for tags in by_scene.values()))
        for source, by_scene in sorted(by_source.items())
    )


def _with_senders(contract: Contract, reached: Reached) -> Iterator[dict[str, Sender]]:
    """Every way to give a pack, and an adapter where it needs one, to each source that is heard."""
    heard = [source for source, _ in reached]
    options = [
        [
            sender
            for sender in contract.senders(contract.sources[source])
            if all(
                contract.on_one_frequency(contract.sources[source], sender[0], tags)
                for tags in by_scene
            )
        ]
        for source, by_scene in reached
    ]
    for chosen in product(*options):
        senders = dict(zip(heard, chosen, strict=True))
        if all(
            contract.in_turn(one, other) or not _share(senders[one], senders[other])
            for one in heard
            for other in heard
            if one < other
        ):
            yield senders


def _share(one: Sender, other: Sender) -> bool:
    return one[0] == other[0] or (one[1] is not None and one[1] == other[1])
