"""What a day's crew should know although nothing is short by it."""

from collections.abc import Iterator

from kitprep.definitions.plan import Plan
from kitprep.planning.packing import Chosen, standby_by_hand


def notices(chosen: Chosen) -> Iterator[str]:
    """The notices of a worked-out day."""
    if not chosen.kit.cables:
        yield "the kit lists no cables, so cables are not tracked"
    by_hand = standby_by_hand(chosen)
    if by_hand:
        yield f"no remote for {', '.join(by_hand)} in the kit: put packs in standby by hand"
    yield from plan_notices(chosen.plan)


def plan_notices(plan: Plan) -> Iterator[str]:
    """What a plan itself leaves unsaid: sources in no scene, and scenes without a source."""
    at_work = {source for scene in plan.scenes for source in scene.sources}
    idle = [source.id for source in plan.sources if source.id not in at_work]
    if idle:
        yield f"in no scene today, so no pack is planned for: {', '.join(idle)}"
    silent = [scene.number for scene in plan.scenes if not scene.sources]
    if silent:
        yield f"no sources are written for these scenes, so nothing is planned: {', '.join(silent)}"
