"""R1, R2, R4 and R5 as a model of named units for another solver, written from the contract."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from itertools import pairwise

from ortools.sat.python import cp_model

from kitprep.definitions.kit import Adapter, Kit, Receiver, Transmitter, Unit
from kitprep.definitions.plan import Plan

from .contract import Contract, Seat, Sender, Want


class UnitModel:
    """A variable for each pack and adapter that a source can have, and each module it can be on."""

    def __init__(self, kit: Kit, plan: Plan) -> None:
        self.contract = Contract(kit, plan)
        self.model = cp_model.CpModel()
        self.takes: dict[tuple[str, Sender], cp_model.IntVar] = {}
        self.hears: dict[tuple[Want, Seat], cp_model.IntVar] = {}
        self.moved: list[cp_model.IntVar] = []
        self._choices()
        self._one_thing_at_a_time()
        self._one_place_a_receiver()
        self._one_frequency()
        self._changes_of_module()
        self.used = self._used()

    def _choices(self) -> None:
        rules = self.contract
        for source in sorted({source for _, source, _ in rules.wants}):
            for sender in rules.senders(rules.sources[source]):
                self.takes[source, sender] = self.model.new_bool_var(f"{source} {sender}")
            mine = [v for (who, _), v in self.takes.items() if who == source]
            self.model.add_at_most_one(mine)
        for want in rules.wants:
            _, source, where = want
            if not rules.inputs[source, where]:
                continue
            for tag, (receiver, _) in rules.receivers.items():
                if rules.may_hear(rules.sources[source], where, tag):
                    for number in range(receiver.modules):
                        seat = (tag, number + 1)
                        self.hears[want, seat] = self.model.new_bool_var(f"{want} {seat}")
            self.model.add_at_most_one(self._of_want(want))
        for (source, _), taken in self.takes.items():
            heard = [v for ((_, who, _), _), v in self.hears.items() if who == source]
            self.model.add_bool_or(heard).only_enforce_if(taken)

    def _of_want(self, want: Want) -> list[cp_model.IntVar]:
        return [v for (mine, _), v in self.hears.items() if mine == want]

    def _one_thing_at_a_time(self) -> None:
        rules, pause = self.contract, self.contract.plan.handover_min
        spans: dict[object, list[cp_model.IntervalVar]] = defaultdict(list)
        for (source, sender), taken in self.takes.items():
            start, end = rules.hold(source)
            for thing in sender:
                if thing is not None:
                    spans[thing].append(
                        self.model.new_optional_fixed_size_interval_var(
                            start, end + pause - start, taken, f"{source} {thing}"
                        )
                    )
        for (want, seat), heard in self.hears.items():
            scene = rules.scenes[want[0]]
            spans[seat].append(
                self.model.new_optional_fixed_size_interval_var(
                    scene.start, scene.end - scene.start, heard, f"{want} {seat}"
                )
            )
        for mine in spans.values():
            self.model.add_no_overlap(mine)

    def _one_place_a_receiver(self) -> None:
        stands: dict[str, dict[str, cp_model.IntVar]] = defaultdict(dict)
        for ((_, _, where), (tag, _)), heard in self.hears.items():
            if where not in stands[tag]:
                stands[tag][where] = self.model.new_bool_var(f"{tag} at {where}")
            self.model.add_implication(heard, stands[tag][where])
        for places in stands.values():
            self.model.add_at_most_one(places.values())

    def _one_frequency(self) -> None:
        """In each scene a source sends on one frequency; some lower end of a range always does."""
        rules = self.contract
        units = [*rules.packs.values(), *rules.receivers.values()]
        lows = {low for model, unit in units for low, _ in unit.tuning_mhz or model.tuning_mhz}
        lows |= {low for s in rules.plan.sources for low, _ in s.tuning_mhz or ()}
        for number, source in sorted({(number, source) for number, source, _ in rules.wants}):
            own = rules.sources[source].tuning_mhz
            sends = {
                low: self.model.new_bool_var(f"{source} in {number} on {low}")
                for low in sorted(lows)
                if own is None or _tunes(low, own)
            }
            self.model.add_at_most_one(sends.values())
            for low, on_it in sends.items():
                able = [
                    v
                    for (who, (tag, _)), v in self.takes.items()
                    if who == source
                    and _tunes(
                        low, rules.packs[tag][1].tuning_mhz or rules.packs[tag][0].tuning_mhz
                    )
                ]
                self.model.add_bool_or(able).only_enforce_if(on_it)
            for ((its, who, _), (tag, _)), heard in self.hears.items():
                if (its, who) != (number, source):
                    continue
                receiver, unit = rules.receivers[tag]
                heard_on = [
                    v
                    for low, v in sends.items()
                    if _tunes(low, unit.tuning_mhz or receiver.tuning_mhz)
                ]
                self.model.add_bool_or(heard_on).only_enforce_if(heard)
                same_system = [
                    v
                    for (taker, (pack, _)), v in self.takes.items()
                    if taker == source and rules.packs[pack][0].system == receiver.system
                ]
                self.model.add_bool_or(same_system).only_enforce_if(heard)

    def _changes_of_module(self) -> None:
        rules = self.contract
        for route in sorted({(source, where) for _, source, where in rules.wants}):
            mine = [want for want in rules.wants if want[1:] == route]
            seats = sorted({seat for want, seat in self.hears if want[1:] == route})
            before: dict[Seat, cp_model.IntVar] | None = None
            for want in mine:
                heard = {seat: self.hears[want, seat] for seat in seats}
                last = {seat: self.model.new_bool_var(f"{want} last on {seat}") for seat in seats}
                moved = self.model.new_bool_var(f"{want} moved")
                for seat in seats:
                    self.model.add_implication(heard[seat], last[seat])
                    others = [heard[other] for other in seats if other != seat]
                    # Where it is not heard now, it was last where it was before.
                    if before is None:
                        self.model.add_bool_or([~last[seat], heard[seat]])
                        continue
                    self.model.add_bool_or([~before[seat], last[seat], *others])
                    self.model.add_bool_or([~last[seat], heard[seat], before[seat]])
                    for other in others:
                        self.model.add_bool_or([~last[seat], ~other])
                        self.model.add_bool_or([~before[seat], ~other, moved])
                self.moved.append(moved)
                before = last

    def _used(self) -> dict[str, cp_model.IntVar]:
        used: dict[str, cp_model.IntVar] = {}
        for things, variable in (
            *((sender, v) for (_, sender), v in self.takes.items()),
            *(((tag,), v) for (_, (tag, _)), v in self.hears.items()),
        ):
            for thing in things:
                if thing is not None:
                    if thing not in used:
                        used[thing] = self.model.new_bool_var(f"{thing} carried")
                    self.model.add_implication(variable, used[thing])
        return used

    def served(self, priority: int) -> list[cp_model.IntVar]:
        """Links of a priority."""
        sources = self.contract.sources
        return [v for (w, _), v in self.hears.items() if sources[w[1]].priority == priority]

    def outlasting(self) -> list[cp_model.LinearExprT]:
        """Scenes that outlast a fresh set, by source and pack."""
        rules = self.contract
        return [
            v * rules.outlasting(rules.packs[tag][0], source)
            for (source, (tag, _)), v in self.takes.items()
        ]

    def most_served(self) -> tuple[int, ...]:
        """Minus the links served by priority, which then holds for whatever is asked next."""
        return tuple(self.least(-v for v in self.served(priority)) for priority in (1, 2, 3))

    def least(self, terms: Iterable[cp_model.LinearExprT]) -> int:
        """The least that the sum can be, which then holds for whatever is asked next."""
        objective = cp_model.LinearExpr.sum(list(terms))
        self.model.minimize(objective)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 2
        solver.parameters.max_time_in_seconds = 120
        status = solver.solve(self.model)
        assert status == cp_model.OPTIMAL, solver.status_name(status)
        least = round(solver.objective_value)
        self.model.add(objective == least)
        return least


def _tunes(mhz: float, ranges: Iterable[tuple[float, float]]) -> bool:
    return any(low <= mhz <= high for low, high in ranges)


def orders(kit: Kit, plan: Plan) -> tuple[tuple[int, ...], int, int, int]:
    """Minus the links served by priority, changes of module, scenes that outlast, units."""
    model = UnitModel(kit, plan)
    served = model.most_served()
    return (
        served,
        model.least(model.moved),
        model.least(model.outlasting()),
        model.least(model.used.values()),
    )


def fewest_hired(kit: Kit, plan: Plan, most: int) -> int:
    """The fewest more units, up to so many of each model, with which the most links are served."""
    more = {model.model: most for model in models(kit)}
    hired = [hired_tags(model, most) for model in more]
    model = UnitModel(with_hired(kit, more), plan)
    model.most_served()
    for alike in hired:
        for one, next_one in pairwise([model.used[tag] for tag in alike if tag in model.used]):
            model.model.add_implication(next_one, one)
    return model.least(model.used[tag] for tags in hired for tag in tags if tag in model.used)


def most_served(kit: Kit, plan: Plan) -> tuple[int, ...]:
    """Minus the links served by priority."""
    return UnitModel(kit, plan).most_served()


def models(kit: Kit) -> list[Transmitter | Receiver | Adapter]:
    """Every model that can be hired."""
    return [*kit.transmitters, *kit.receivers, *kit.adapters]


def hired_tags(model: str, qty: int) -> list[str]:
    """The tags of so many hired units."""
    return [f"hired {model} {n}" for n in range(qty)]


def with_hired(kit: Kit, quantities: Mapping[str, int]) -> Kit:
    """The kit with so many more plain units of each model."""
    lists = {"transmitters": kit.transmitters, "receivers": kit.receivers, "adapters": kit.adapters}
    return kit.model_copy(
        update={
            name: tuple(
                model.model_copy(
                    update={
                        "units": (
                            *model.units,
                            *(
                                Unit.model_validate({"tag": tag})
                                for tag in hired_tags(model.model, quantities.get(model.model, 0))
                            ),
                        )
                    }
                )
                for model in things
            )
            for name, things in lists.items()
        }
    )
