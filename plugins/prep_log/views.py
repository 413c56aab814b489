"""What the log shows on the page: its entries, the form for readings, predicted against weighed."""

from __future__ import annotations

from collections.abc import Iterator

from prep.views import Address, Link, Place, View, ViewPage

ENTER = ("enter",)


def views() -> Iterator[View]:
    """Give them."""
    yield View(
        "log",
        "Log",
        "What was printed, predicted, weighed and seen, and printing it again.",
        _log,
        of_order=(Link("Enter this run into the log", ENTER),),
    )

    yield View(
        "readings",
        "Readings",
        "What was read off a test piece, a balance or a clock, and what was learnt from it.",
        _readings,
    )
    yield View(
        "agreement",
        "Predicted against weighed",
        "Whether the ink weighed in runs lies where it was predicted.",
        _agreement,
    )


def _readings(address: Address, place: Place) -> ViewPage:
    from prep_log.page_readings import page

    return page(address, place)


def _agreement(address: Address, place: Place) -> ViewPage:
    from prep_log.page_agreement import page

    return page(address, place)


def _log(address: Address, place: Place) -> ViewPage:
    from prep_log.page_log import page

    return page(address, place)
