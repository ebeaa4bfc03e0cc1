"""What a rep records beside passes, faults and works: parts, hand-overs, releases, pictures, and the rest."""

from __future__ import annotations

from pathlib import Path

from assistant.analysis.tokens import printable
from assistant.errors import UsageError
from assistant.journal.records import (
    INCIDENTS,
    USES,
    Arrangement,
    Count,
    Escalation,
    Incident,
    IncidentName,
    Part,
    Photo,
    Release,
    Remark,
    Sighting,
    Swap,
    Use,
    Work,
)
from assistant.languages import DEFAULT, said, spoken, to_say
from assistant.visiting.keeper import Keeper
from assistant.visiting.photos import keep_photo
from assistant.visiting.typed import check_quantity, clean, day_of, label, one_of
from assistant.visiting.words import INCIDENT_NAMES, amount_of, place_of

__all__ = ["Extras"]

_DANGER = frozenset({"injury", "shock"})
_USES: dict[Use, str] = {"used": to_say("used"), "wanted": to_say("wanted")}


class Extras(Keeper):
    """Records what belongs to a work, to a station without a work, or to the visit alone."""

    def part(self, part: str, use: Use, *, quantity: int = 1, station: str = "", work: Work | None = None) -> Part:
        """Record that a part was used, or is wanted."""
        one_of(use, USES, "use")
        check_quantity(quantity, 1)
        record = Part(self._name(part, "part"), use, quantity, self._station(station, work))
        place, amount = place_of(record.station), amount_of(quantity, record.part)
        with self.entry(said("{place}: {amount}, {use}", place=place, amount=amount, use=said(_USES[use]))):
            return self._add(record._replace(visit=self._visit_id(), work=work.id if work else None))

    def count(self, part: str, quantity: int) -> Count:
        """Record how many of a part are in the bag now."""
        check_quantity(quantity, 0)
        record = Count(self._name(part, "part"), quantity, self._visit_id())
        with self.entry(said("bag: {amount}", amount=amount_of(quantity, record.part))):
            return self._add(record)

    def hand_over(
        self,
        reason: str,
        *,
        station: str = "",
        number: str = "",
        taken_by: str = "",
        due: str = "",
        work: Work | None = None,
    ) -> Escalation:
        """Record that a fault was handed over to the support desk.

        Parameters
        ----------
        number
            The number that the desk gave.
        taken_by
            Who took it there.
        due
            The day by which it will be seen to, ISO 8601.
        """
        record = Escalation(
            clean(reason, "reason"),
            self._station(station, work),
            work.note if work else "",
            clean(number, "desk's number", needed=False),
            clean(taken_by, "name", needed=False),
            day_of(due),
        )
        with self.entry(said("{place}: handed over", place=place_of(record.station))):
            return self._add(record._replace(visit=self._visit_id(), work=work.id if work else None))

    def release(self, station: str, *, by: str, number: str, day: str = "", work: Work | None = None) -> Release:
        """Record that a station which was out of service may be played again.

        Parameters
        ----------
        by
            Who released it.
        number
            Under what number.
        day
            When, ISO 8601, not later than today; today where empty.
        work
            The work for which it is released, through a note that takes out of service.

        Raises
        ------
        UsageError
            If the station is not out of service and no such work is named, or something is missing.
        """
        station = self._station(station, work)
        day = day_of(day) or self.today.isoformat()
        if day > self.today.isoformat():
            raise UsageError(said("the day of the release, {day}, is still to come", day=day))
        with self.entry(said("{place}: released", place=place_of(station))):
            if not self.out_of_service(station, work) and not (work and self.grave(work)):
                raise UsageError(said("{station} is not out of service: there is nothing to release", station=station))
            record = Release(station, clean(by, "name"), day, clean(number, "number of the release"))
            return self._add(record._replace(visit=self._visit_id(), work=work.id if work else None))

    def arrange(self, station: str, point: str, *, owner: str = "", due: str = "") -> Arrangement:
        """Record who sees to an open point of a kind at a station, and by when."""
        station = label(station, "station") if station else ""
        owner, due = clean(owner, "name", needed=False), day_of(due)
        if not owner and not due:
            raise UsageError(said("tell who sees to it, or by when"))
        who = owner or said("open point")
        with self.entry(said("{place}: {who} {due}", place=place_of(station), who=who, due=due).rstrip()):
            return self._add(Arrangement(station, point, owner, due, self._visit_id()))

    def swap(self, station: str, unit: str, *, taken_out: str, put_in: str, work: Work | None = None) -> Swap:
        """Record that a whole unit was exchanged, with the number of the one taken out and of the one put in."""
        out, new = clean(taken_out, "number of the unit taken out"), clean(put_in, "number of the unit put in")
        if out.casefold() == new.casefold():
            raise UsageError(said("the unit taken out and the unit put in have the same number"))
        record = Swap(self._station(station, work), self._name(unit, "unit"), out, new)
        with self.entry(said("{station}: {unit} exchanged", station=record.station, unit=record.unit)):
            return self._add(record._replace(visit=self._visit_id(), work=work.id if work else None))

    def incident(self, name: IncidentName, text: str, *, station: str = "", told: str = "") -> Incident:
        """Record that somebody was hurt, or nearly, and who was told of it, on the visit whose report tells it.

        A station that hurt somebody is out of service until it is released.
        """
        one_of(name, INCIDENTS, "incident")
        record = Incident(name, clean(text, "description"), self._station(station, None))
        with self.entry(f"{place_of(record.station)}: {said(INCIDENT_NAMES[name])}"):
            visit = self._here()
            if record.station and name in _DANGER:
                self._add(Sighting(visit, record.station, "fault", condition=record.text, plays="danger"))
            return self._add(record._replace(told=clean(told, "name", needed=False), visit=visit))

    def photo(self, path: Path, *, station: str = "", shows: str = "", work: Work | None = None) -> Photo:
        """Record that a picture was taken; the file is copied beside the journal.

        Raises
        ------
        UsageError
            If there is no such file, or it is no picture.
        """
        station, shows = self._station(station, work), clean(shows, "picture", needed=False)
        with self.entry(said("{place}: picture {name}", place=place_of(station), name=printable(path.name))):
            copy = keep_photo(path, self.journal.path.parent)
            record = Photo(printable(path.name), station, shows, copy)
            return self._add(record._replace(visit=self._visit_id(), work=work.id if work else None))

    def remark(self, text: str, *, station: str = "", work: Work | None = None) -> Remark:
        """Record free text."""
        record = Remark(clean(text, "remark"), self._station(station, work))
        with self.entry(said("{place}: remark", place=place_of(record.station))):
            return self._add(record._replace(visit=self._visit_id(), work=work.id if work else None))

    def _name(self, text: str, what: str) -> str:
        """Return the name of a thing: as the trade has it, or else in small letters, but where nouns have capitals."""
        typed = clean(text, what)
        known = {item.name.casefold(): item.name for item in (*self.trade.tools, *self.trade.parts)}
        return known.get(typed.casefold()) or (typed.lower() if spoken() == DEFAULT else typed)
