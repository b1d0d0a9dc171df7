"""What every TOML file of ours is checked by: frozen, no unknown keys, numbers that are numbers."""

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

Real = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Positive = Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0)]
NotNegative = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0)]
Count = Annotated[int, Field(strict=True, ge=1)]
Channel = Annotated[int, Field(strict=True, ge=1, le=256)]


class FileModel(BaseModel):
    """A table of a TOML file; every field's description gives unit, range and meaning."""

    model_config = ConfigDict(extra="forbid", frozen=True)
