"""R6's schedules against every change point there is, and each change against its own reasons."""

from fractions import Fraction
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from kitprep.planning.results import WorkedDay

from .building import cells, kit, plan, scene, source, span, stereo_receiver, transmitter, worked
from .contract import Contract, fewest_changes


def random_day(random: Random) -> tuple[WorkedDay, Contract]:
    """One pack through the scenes of one or two sources."""
    option = cells(hours=random.choice([0.5, 0.75, 1, 1.33]), hours_stereo=random.choice([0.4, 1]))
    own = random.choice([{}, {"standby": 0}, {"standby": 0.3}, {"standby": 1}])
    a_kit = kit(
        transmitter(channels=2, power=[option], **own),
        stereo_receiver(power=[{"dc_v": [12, 12], "watts": 1}]),
    )
    clock, shots = 9 * 60, []
    for number, who in enumerate(["a"] * random.randint(1, 4) + ["b"] * random.randint(0, 2)):
        length = random.choice([5, 12, 20, 31, 45, 70])
        shots.append(scene(str(number), span(clock, clock + length), who))
        clock += length + random.choice([0, 0, 1, 17, 60])
    a_plan = plan(
        source("a", channels=random.choice([1, 2])),
        source("b", channels=random.choice([1, 2])),
        *shots,
        lead_min=random.choice([0, 0, 10, 45]),
        between=random.choice(["standby", "on", "off"]),
        reserve=random.choice([0, 0.2]),
        handover_min=0,
    )
    return worked(a_kit, a_plan), Contract(a_kit, a_plan)


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 2**32))
def test_no_schedule_has_fewer_changes_at_bad_moments_or_then_in_all(seed: int) -> None:
    day, contract = random_day(Random(seed))
    (model, _) = contract.packs["TX1"]
    minutes = contract.drains(model, sorted({link.source for link in day.links}))

    within = sum(change.mid_scene for change in day.changes)
    ends = {shot.end for shot in contract.scenes.values()}
    touching = sum(
        not change.mid_scene
        and change.by == contract.scenes[change.before].start
        and change.by in ends
        for change in day.changes
    )
    assert (within, touching, len(day.changes)) == fewest_changes(minutes)


@settings(max_examples=200, deadline=None)
@given(st.integers(0, 2**32))
def test_every_set_lasts_to_its_change_and_no_change_could_wait(seed: int) -> None:
    day, contract = random_day(Random(seed))
    (model, _) = contract.packs["TX1"]
    minutes = contract.drains(model, sorted({link.source for link in day.links}))
    on = day.feeds[0].on

    def taken(start: int, end: int) -> Fraction:
        return sum((share for share, _ in minutes[start - on : end - on]), Fraction(0))

    def to_the_next_pause(minute: int) -> int:
        after = [shot.end for shot in contract.scenes.values() if shot.start == minute]
        return to_the_next_pause(after[0]) if after else minute

    put_in = [on, *(change.by for change in day.changes)]
    for start, end in zip(put_in, [*put_in[1:], day.feeds[0].off], strict=True):
        assert taken(start, end) <= 1
    for start, change in zip(put_in, day.changes, strict=False):
        shot = contract.scenes[change.before]
        if change.mid_scene:
            assert shot.start < change.by < shot.end
            assert taken(start, change.by + 1) > 1
        else:
            assert change.by <= shot.start
            assert taken(start, to_the_next_pause(shot.end)) > 1
