"""The firmware list in words: each unit, with what it showed where somebody has looked."""

from kitprep.planning.results import Firmware
from kitprep.walks.log import local_time


def says_units(image: Firmware) -> str:
    """ "TX02 (5.1 read 2027-03-13 at 21:40), TX41"."""
    read = {seen.unit: seen for seen in image.read}
    return ", ".join(
        f"{tag} ({read[tag].version} read {_when(read[tag].at)})" if tag in read else tag
        for tag in image.units
    )


def _when(at: str) -> str:
    day, time = local_time(at)
    return f"{day} at {time[:5]}"
