"""What a unit that stands in would change is said in one sentence, before it is taken."""

from small_job import small_day

from kitprep.ledger.events import ItemState, JobState, Out
from kitprep.planning.day import work_out
from kitprep.planning.results import WorkedDay
from kitprep.walks.standing_in import says_none, says_swap

DAY = small_day()


def without(*tags: str) -> WorkedDay:
    return work_out(DAY.kit, DAY.plan, without=frozenset(tags))


def test_a_like_unit_changes_nothing_else() -> None:
    after = work_out(DAY.kit, DAY.plan, swaps=(("TX01", "TX03"),))
    assert says_swap(DAY, after, JobState(), "TX01", "TX03") == "nothing else changes"


def test_what_would_no_longer_be_served_comes_first() -> None:
    # AD1 is the only adapter: the band and the two feeds go with it.
    says = says_swap(DAY, without("AD1"), JobState(), "AD1", "AD9")
    assert says.startswith("not served any more: band to recorder in 1, feeds to recorder in 2")


def test_what_would_be_served_again_is_said_too() -> None:
    says = says_swap(without("AD1"), DAY, JobState(), "AD9", "AD1")
    assert says.startswith("served now: band to recorder in 1, feeds to recorder in 2")


def test_what_is_to_leave_is_told_by_number_or_tag_but_for_the_two_units() -> None:
    # With TX03 alone only Ines is served: TX02 and AD1 stay, a card, and two cells of the six.
    says = says_swap(DAY, without("TX01", "TX02"), JobState(), "TX01", "TX03")
    assert says.endswith("; to leave: TX02, AD1, 1 x mini-sd cards and 1 more")


def test_once_out_only_what_is_not_in_the_bag_is_to_fetch_and_nothing_is_to_leave() -> None:
    out = Out((), frozenset(), frozenset({"AD1"}))
    bag = JobState(stage="out", items={"AD1": ItemState(packed=1)}, out=out)
    says = says_swap(without("AD1"), DAY, bag)
    assert says.startswith("served now: band to recorder in 1, feeds to recorder in 2")
    assert "AD1" not in says
    assert "to fetch: TX02, AD1" in says_swap(without("AD1"), DAY, JobState(stage="out", out=out))
    assert "to leave" not in says_swap(DAY, without("TX01", "TX02"), bag, "TX01", "TX03")


def test_what_keeps_each_unit_from_a_place_is_told_of_the_nearest() -> None:
    why = ("TX02 (marek): in use at those hours", "TX06: in repair")
    assert says_none("TX01", why) == (
        "No single unit here can stand in for TX01. TX02 (marek): in use at those hours. TX06: in "
        "repair."
    )
    assert says_none("TX01", why * 3).endswith(
        "TX06: in repair. TX02 (marek): in use at those hours."
    )
    assert says_none("RX01", ()) == "No single unit here can stand in for RX01."
