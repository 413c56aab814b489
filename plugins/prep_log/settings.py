"""The table ``[log]`` of shop.toml."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field

from prep.errors import SettingsError
from prep.tables import OF_SHOP_ONLY, Table


def _whole(text: str) -> str:
    from prep_log.place import whole_path

    try:
        whole_path(text)
    except SettingsError as error:
        raise ValueError("must be a whole path, or begin with ~/") from error
    return text


class LogShop(Table):
    """Where the log lies."""

    kept_in: Annotated[str, Field(min_length=1), AfterValidator(_whole)] | None = Field(
        None,
        description="the log's file, whole path; none = in your own data folder",
        json_schema_extra={OF_SHOP_ONLY: True},
    )
