"""R8: a card for every pack that keeps a backup recording, with room for its whole day.

Room is channels x 48 000 samples/s x 3 bytes x seconds: 24-bit linear PCM at 48 kHz, in decimal GB
(0.5184 GB an hour and channel).
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from kitprep.definitions.kit import Kit
from kitprep.planning.cells import exact
from kitprep.planning.results import Counted, Shortfall

SAMPLE_RATE = 48_000
BYTES_A_SAMPLE = 3


@dataclass(frozen=True, slots=True)
class Recording:
    """One pack's recording: it rolls from the start of the first scene to the end of the last."""

    unit: str
    card: str
    channels: int
    minutes: int

    @property
    def bytes(self) -> int:
        """What it takes on the card, without the file system's own share."""
        return self.channels * SAMPLE_RATE * BYTES_A_SAMPLE * 60 * self.minutes


def cards_to_carry(
    recordings: Iterable[Recording], kit: Kit
) -> tuple[tuple[Counted, ...], tuple[Shortfall, ...]]:
    """One card a pack, the smallest with room; what finds none is short."""
    by_card: dict[str, list[Recording]] = defaultdict(list)
    for recording in recordings:
        by_card[recording.card].append(recording)
    lines = []
    short: list[Shortfall] = []
    for card, mine in sorted(by_card.items()):
        rooms = [
            int(exact(s.capacity_gb) * 10**9)
            for s in kit.stock
            if s.card == card and s.capacity_gb
            for _ in range(s.qty)
        ]
        without = list(_without_a_card(mine, sorted(rooms)))
        lines.append(Counted(card, len(mine), len(rooms), len(without)))
        for recording in without:
            room = f"{_gigabytes(recording.bytes)} of room"
            what = f"no {card} card with {room} is left for {recording.unit}; bring one"
            short.append(Shortfall("card", None, what))
    return tuple(lines), tuple(short)


def _gigabytes(size: int) -> str:
    """ "0.52 GB" for 518 400 000 bytes: rounded up, so that a card of what is said has the room."""
    hundredths = -(-size // 10**7)
    return f"{hundredths / 100:.2f} GB"


def _without_a_card(recordings: list[Recording], rooms: list[int]) -> Iterator[Recording]:
    """Recordings left over when each, the shortest first, takes the smallest card with room."""
    left = list(rooms)
    for recording in sorted(recordings, key=lambda r: (r.bytes, r.unit)):
        fitting = next((room for room in left if room >= recording.bytes), None)
        if fitting is None:
            yield recording
        else:
            left.remove(fitting)
