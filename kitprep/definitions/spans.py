"""A stretch of the day that no file says: it obeys the rule of those that files say."""

from pydantic import ValidationError

from kitprep.definitions.plan import Span


def read_span(start: str, end: str) -> Span:
    """The stretch between two times of the clock, as "07:30" and "25:30".

    Raises:
        ValueError: with what is wrong, in one sentence.
    """
    try:
        return Span.model_validate({"start": start, "end": end})
    except ValidationError as error:
        raise ValueError(error.errors()[0]["msg"]) from error
