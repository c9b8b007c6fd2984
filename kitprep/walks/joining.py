"""What joins a job while it is out: fetched, lent or bought, it comes back like what was packed."""

from kitprep.ledger.events import JobState
from kitprep.planning.held import numbers
from kitprep.planning.packing import unit_names
from kitprep.planning.results import WorkedDay
from kitprep.walks.counting import read_count


class NotJoining(Exception):
    """Why a thing cannot join, in one sentence."""


def joining(day: WorkedDay, job: JobState, word: str) -> tuple[str, int]:
    """The key and the number of what is meant by "T2" or "item:lav=3".

    Raises:
        NotJoining: where the job is not out, the kit has no such thing, or it is out already.
    """
    if not job.is_out:
        raise NotJoining(f"the job is {job.stage} and not out; what goes out with it is packed")
    units = {name.casefold(): name for name in unit_names(day.kit)}
    unit = units.get(word.strip().casefold())
    if unit is not None:
        if job.item(unit).packed:
            raise NotJoining(f"{unit} is out already")
        return unit, 1
    name, _, text = word.rpartition("=")
    counted = {key.casefold(): key for key in numbers(day.kit)}
    key = counted.get(name.strip().casefold())
    if key is None:
        example = next(iter(counted.values()), "item:lav")
        raise NotJoining(
            f"{word} is no tag of this kit, nor a KEY=NUMBER of what goes by number, as {example}=2"
        )
    number = read_count(text)
    if not number:
        raise NotJoining(f"{key} goes by number; write how many joined, as in {key}=2")
    return key, number
