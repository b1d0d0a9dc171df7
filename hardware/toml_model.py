"""What every TOML file of ours is checked by: frozen, no unknown keys, numbers that are numbers."""

from datetime import date, datetime
from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field
from pydantic_core import PydanticCustomError

Real = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Positive = Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0)]
NotNegative = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0)]
Count = Annotated[int, Field(strict=True, ge=1)]
Channel = Annotated[int, Field(strict=True, ge=1, le=256)]
Flag = Annotated[bool, Field(strict=True)]


class FileModel(BaseModel):
    """A table of a TOML file; every field's description gives unit, range and meaning."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def refusal(
    key: str, what: str, *, given: object = None, allowed: object = None
) -> PydanticCustomError:
    """Make the error that a validator raises where single values are fine but not together.

    Parameters
    ----------
    key : str
        Dotted path below the table whose validator raises it; empty for the table itself.
    what : str
        What is wrong, in a few words.
    given, allowed : object
        Left out of the message where None.

    Returns
    -------
    PydanticCustomError, to be raised.
    """
    context = {"key": key, "what": what, "given": given, "allowed": allowed}
    return PydanticCustomError("refused", "{what}", context)


def _refuse_what_is_no_day(value: object) -> object:
    # Left alone, a number would be taken for seconds since 1970.
    if isinstance(value, date | str) and not isinstance(value, datetime):
        return value
    raise refusal("", "not a date", given=value, allowed="a date such as 2031-05-14")


Day = Annotated[date, BeforeValidator(_refuse_what_is_no_day)]
