"""Erasing what is old, but for what still keeps a station out of service or a work open."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress

from assistant.journal.records import Entry, Outcome, Photo, Release, Visit
from assistant.journal.store import Journal
from assistant.visiting.photos import FOLDER
from assistant.visiting.recorder import Recorder
from assistant.visiting.rounds import states
from assistant.visiting.shops import read_shop, strays

__all__ = ["erase", "would_erase"]


def erase(journal: Journal, before: str) -> Mapping[str, int]:
    """Erase what was recorded before a time, with the copies of its pictures, and return how many of each kind went.

    In a shop with a station that is still out of service, or with a work that stands open, the visits stay from the one
    on at which that began; so do those at which an end of their works was told, in whatever shop.
    """
    gone = journal.purge(before, _kept(journal))
    left = {photo.copy for photo in journal.every(Photo)}
    folder = journal.path.parent / FOLDER
    for copy in folder.iterdir() if folder.is_dir() else ():
        if copy.name not in left:
            with suppress(FileNotFoundError):
                copy.unlink()
    return gone


def would_erase(journal: Journal, before: str) -> Mapping[str, int]:
    """Return how many records of each kind `erase` would take; nothing is erased."""
    return journal.count_before(before, _kept(journal))


def _kept(journal: Journal) -> frozenset[int]:
    visits = journal.all(Visit)
    stores = {visit.id: visit.store for visit in visits}
    first: dict[str, int] = {}
    needed = [work.visit for work in Recorder(journal).open_works() if work.visit in stores]
    without = strays(journal)
    shops = [read_shop(journal, store, without=without) for store in dict.fromkeys(stores.values())]
    for shop in shops:
        stand = states(shop.happened)
        needed += [
            event.visit
            for event in shop.happened
            if stand[event.station].state == "withdrawn" and event.at >= stand[event.station].since
        ]
    for visit in needed:
        if visit is not None:
            first[stores[visit]] = min(visit, first.get(stores[visit], visit))
    kept = {visit.id for visit in visits if visit.id >= first.get(visit.store, visit.id + 1)}
    told = {entry.id: entry.visit for entry in journal.all(Entry)}
    works = {work for shop in shops for work, visit in shop.begun.items() if visit in kept}
    ends: list[Outcome | Release] = [*journal.all(Outcome), *journal.all(Release)]
    away = (told.get(end.entry or 0) for end in ends if end.work in works)
    return frozenset(kept.union(visit for visit in away if visit is not None))
