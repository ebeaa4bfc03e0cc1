"""A page -> a PDF, with the pages of its notes written into contents and index.

What draws the pages could put in their numbers by itself, and then lays everything out anew many times over. So the
page is laid out, asked where its notes came to lie, and laid out once more with these numbers as its text.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from assistant.errors import AssistantError, MissingExtraError
from assistant.progress import Progress, silent

__all__ = ["numbered_pdf", "pdf_of"]

_MOST_ROUNDS = 6
_TOLD_PAGES = 50
_LOGGER = "weasyprint.progress"


def numbered_pdf(
    page_with: Callable[[Mapping[str, int]], str], anchors: Collection[str], progress: Progress = silent
) -> bytes:
    """Return a page as a PDF that names its own pages.

    Parameters
    ----------
    page_with
        Makes the page from the number of the page, from 1, on which each anchor lies.

    Raises
    ------
    MissingExtraError
        As `pdf_of`.
    AssistantError
        If the numbers themselves move the pages time and again.
    """
    likely = 10 ** (len(str(2 * len(anchors))) - 1)
    placed: Mapping[str, int] = dict.fromkeys(anchors, likely)
    total = 0
    for _ in range(_MOST_ROUNDS):
        document = _laid_out(page_with(placed), progress, total)
        found = {name: n for n, page in enumerate(document.pages, start=1) for name in page.anchors if name in placed}
        if found == placed:
            progress(f"Writing {len(document.pages)} pages")
            return bytes(document.write_pdf())
        placed, total = found, len(document.pages)
    raise AssistantError("the pages of the booklet move with their numbers; choose other notes")


def pdf_of(page: str) -> bytes:
    """Return a page as a PDF; what it names elsewhere is not fetched.

    Raises
    ------
    MissingExtraError
        If the package that draws it is not installed, or finds no library of the system to set text with.
    """
    return bytes(_laid_out(page, silent, 0).write_pdf())


def _laid_out(page: str, progress: Progress, total: int) -> Any:
    try:
        from weasyprint import HTML
        from weasyprint.urls import URLFetcher
    except (ModuleNotFoundError, OSError) as error:
        raise MissingExtraError(
            "a PDF needs the package 'weasyprint' and the pango libraries of the system (libpango-1.0-0, "
            f"libpangoft2-1.0-0, libharfbuzz-subset0): {error}"
        ) from error
    only_within: Any = URLFetcher(allowed_protocols=("data",))
    with _told_by_page(progress, total):
        return HTML(string=page, url_fetcher=only_within).render()


class _Pages(logging.Handler):
    """Tells of each page that is laid out; where nobody knows how many there will be, of every so many."""

    def __init__(self, progress: Progress, total: int) -> None:
        super().__init__()
        self._progress = progress
        self._total = total

    def emit(self, record: logging.LogRecord) -> None:
        """Tell it, if the record is about a page."""
        done = record.args[0] if isinstance(record.args, tuple) and record.args else None
        if not isinstance(done, int) or "Page" not in record.msg:
            return
        if not self._total:
            if done % _TOLD_PAGES == 0:
                self._progress(f"Laying out, to find the pages of the notes: {done} pages")
        elif done <= self._total:
            self._progress("Laying out with their numbers", done, self._total)


@contextmanager
def _told_by_page(progress: Progress, total: int) -> Iterator[None]:
    logger = logging.getLogger(_LOGGER)
    handler = _Pages(progress, total)
    level, upwards = logger.level, logger.propagate
    logger.addHandler(handler)
    logger.setLevel(logging.INFO)
    logger.propagate = False
    try:
        if total:
            progress("Laying out with their numbers", 0, total)
        yield
    finally:
        logger.removeHandler(handler)
        logger.setLevel(level)
        logger.propagate = upwards
