"""R1: which chains are possible for a source, and when none is, which requirement none meets."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from kitprep.definitions.kit import Adapter, Receiver, Transmitter
from kitprep.definitions.plan import Destination, Source
from kitprep.planning.pool import Bands, Pool, UnitClass, khz


@dataclass(frozen=True, slots=True)
class Sender:
    """A transmitter, with an adapter or without, that can send what a source gives.

    ``transmitter`` and ``adapter`` are places in the pool's lists.
    """

    transmitter: int
    adapter: int | None


@dataclass(frozen=True, slots=True)
class Offer:
    """What a transmitter gives with its adapter, if any."""

    channels: int
    connector: str | None
    mic_power: tuple[str, ...]


def offer(transmitter: Transmitter, adapter: Adapter | None) -> Offer:
    """What the two give together.

    What an adapter states replaces the transmitter's own. A stereo adapter passes phantom power on
    only where the kit says so: two inputs at P48 draw up to 10 mA each (IEC 61938), which a pack
    that feeds one cannot be assumed to have.
    """
    if adapter is None:
        return Offer(transmitter.channels, transmitter.connector, transmitter.mic_power)
    mic_power: tuple[str, ...] | None = adapter.mic_power
    if mic_power is None:
        mic_power = transmitter.mic_power
        if adapter.channels == 2:
            mic_power = tuple(kind for kind in mic_power if kind == "bias")
    return Offer(
        adapter.channels or transmitter.channels,
        adapter.connector or transmitter.connector,
        mic_power,
    )


def lacks(source: Source, given: Offer) -> str | None:
    """The first thing that a source needs and the offer has not, in words, or None."""
    if given.channels < source.channels:
        return "2 channels"
    if source.connector is not None and given.connector != source.connector:
        return f"a {source.connector} input"
    if source.mic_power is not None and source.mic_power not in given.mic_power:
        return source.mic_power
    return None


def wears(source: Source, transmitter: Transmitter) -> bool:
    """Whether the source takes this form and model at all."""
    return transmitter.form in source.form and (
        source.model is None or transmitter.model in source.model
    )


def senders(source: Source, pool: Pool) -> list[Sender]:
    """Every sender for a source, in the order of the pool; R1 but for the receiver's part.

    A transmitter that meets the need by itself takes no adapter.
    """
    found = []
    for number, unit_class in enumerate(pool.transmitters):
        model = unit_class.model
        if not wears(source, model) or not _tunes(source, unit_class.bands):
            continue
        if lacks(source, offer(model, None)) is None:
            found.append(Sender(number, None))
            continue
        found.extend(
            Sender(number, place)
            for place, adapter in enumerate(pool.adapters)
            if model.model in adapter.model.fits
            and lacks(source, offer(model, adapter.model)) is None
        )
    return found


def meet(*bands: Bands) -> bool:
    """Whether one frequency lies in all of these."""
    return next(_common(*bands), None) is not None


def _common(*bands: Bands) -> Iterator[int]:
    """Frequencies in kHz that lie in all of these; where any exists, the bottom of a range does."""
    for low in sorted({low for ranges in bands for low, _ in ranges}):
        if all(any(a <= low <= b for a, b in ranges) for ranges in bands):
            yield low


def _tunes(source: Source, bands: Bands) -> bool:
    return source.tuning_mhz is None or meet(bands, khz(source.tuning_mhz))


def lives_at(receiver: Receiver, destination: Destination) -> bool:
    """Whether this receiver model may stand at the destination."""
    return destination.receivers is None or receiver.model in destination.receivers


def hears(source: Source, sender: UnitClass[Transmitter], receiver: UnitClass[Receiver]) -> bool:
    """Whether a module of the receiver takes this source's link from this transmitter."""
    bands = [sender.bands, receiver.bands]
    if source.tuning_mhz is not None:
        bands.append(khz(source.tuning_mhz))
    return (
        sender.model.system == receiver.model.system
        and source.mode in receiver.model.modes
        and meet(*bands)
    )


def heard_together(
    source: Source,
    sender: UnitClass[Transmitter],
    receivers: Iterable[tuple[int, UnitClass[Receiver]]],
) -> list[frozenset[int]]:
    """The largest sets of receiver classes that one frequency of the transmitter reaches.

    A pack that feeds several receivers at once sends on one frequency, so all of them must tune it.
    """
    listening = [(place, r) for place, r in receivers if hears(source, sender, r)]
    own = [sender.bands] + ([khz(source.tuning_mhz)] if source.tuning_mhz is not None else [])
    edges = sorted(
        {low for ranges in [*own, *(r.bands for _, r in listening)] for low, _ in ranges}
    )
    sets = {
        frozenset(place for place, r in listening if meet(((edge, edge),), r.bands))
        for edge in edges
        if meet(((edge, edge),), *own)
    }
    largest = [s for s in sets if s and not any(s < other for other in sets)]
    return sorted(largest, key=sorted)
