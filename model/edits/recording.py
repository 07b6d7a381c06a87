"""Recording what was done to joints: that they are made, what they read, that one was made again, how it is known.

Each edit takes one or many joints and is one step. What a person types is checked before it is
written. Losses in dB, wavelengths in nm.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from model.changes import Draft
from model.edits.record_checks import (
    LOSS_DB,
    STATUSES,
    checked_by,
    checked_date,
    checked_kind,
    checked_note,
    checked_reading,
    parse_db,
)
from model.entities import Attempt, Evidence, Reading, Splice, WorkStatus
from model.errors import EditError
from model.ids import SpliceId


def splice_of(draft: Draft, key: str) -> Splice:
    """A joint by id. Raises EditError where it is gone."""
    splice: Splice | None = draft.table("splices").get(key)
    if splice is None:
        raise EditError(f"there is no joint {key!r}", hint="It may have been taken apart")
    return splice


def _made(splice: Splice) -> WorkStatus:
    """What a joint is once it is made; one that is to be removed is not made but taken apart."""
    if splice.status == "remove":
        raise EditError("a joint that is to be removed cannot be made", hint="Take it apart, or plan it anew first")
    return "done" if splice.status == "planned" else splice.status


def _like(reading: Reading) -> tuple[int, str, bool]:
    """What two readings share of which the later counts; a splicer has one estimate, whatever its wavelength."""
    estimate = reading.direction == "estimate"
    return 0 if estimate else reading.wavelength_nm, reading.direction, reading.sealed and not estimate


def read_again(splice: Splice, readings: tuple[Reading, ...]) -> Splice:
    """A joint with more readings; each takes the place of those alike."""
    new = {_like(reading): reading for reading in readings}
    return replace(splice, measured=(*(r for r in splice.measured if _like(r) not in new), *new.values()))


@dataclass(frozen=True, slots=True)
class MarkDone:
    """Joints are made; an empty ``by`` or ``on`` leaves what stands there.

    A joint that existed before stays existing. Raises EditError for a missing joint, one to be removed, a bad date.
    """

    splices: tuple[SpliceId, ...]
    by: str = ""
    on: str = ""
    name: str = "done"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        by, on = checked_by(self.by), checked_date(self.on)
        for key in self.splices:
            held = splice_of(draft, key)
            draft.put(replace(held, status=_made(held), done_by=by or held.done_by, done_on=on or held.done_on))


@dataclass(frozen=True, slots=True)
class Annotate:
    """Fields of a record as they are typed over, also to nothing; what is ``None`` stays as it is in each joint.

    ``kind``, ``seen_by`` and ``seen_on`` are of the evidence. Raises EditError for a missing joint, a bad date, or a
    word that is no evidence.
    """

    splices: tuple[SpliceId, ...]
    by: str | None = None
    on: str | None = None
    note: str | None = None
    kind: str | None = None
    seen_by: str | None = None
    seen_on: str | None = None
    name: str = "note"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        for key in self.splices:
            held = splice_of(draft, key)
            known = held.evidence
            draft.put(
                replace(
                    held,
                    done_by=held.done_by if self.by is None else checked_by(self.by),
                    done_on=held.done_on if self.on is None else checked_date(self.on),
                    note=held.note if self.note is None else checked_note(self.note),
                    evidence=Evidence(
                        known.kind if self.kind is None else checked_kind(self.kind),
                        known.date if self.seen_on is None else checked_date(self.seen_on),
                        known.by if self.seen_by is None else checked_by(self.seen_by),
                    ),
                )
            )


@dataclass(frozen=True, slots=True)
class SetStatus:
    """Give joints a status by its word. Planned again, initials and date go; made, a joint keeps what is known of it.

    Raises EditError for a word that is no status, and for planning a joint anew that was measured.
    """

    splices: tuple[SpliceId, ...]
    status: str
    name: str = "set status"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        word = self.status.strip().lower()
        if word not in STATUSES:
            raise EditError(f"{self.status.strip()[:20]!r} is no status", hint=f"It is one of {', '.join(STATUSES)}")
        for key in self.splices:
            held = splice_of(draft, key)
            if word != "planned":
                draft.put(replace(held, status=STATUSES[word]))
                continue
            if held.measured or held.attempts:
                raise EditError("a joint that was measured is made", hint="Take its readings out first")
            draft.put(replace(held, status="planned", done_by="", done_on=""))


@dataclass(frozen=True, slots=True)
class Measure:
    """Readings of joints, each in the place of those alike; ``by`` and ``on`` fill in the joint where they are said.

    A joint with a reading is made. Raises EditError for a missing joint or a reading that cannot be.
    """

    readings: tuple[tuple[SpliceId, tuple[Reading, ...]], ...]
    by: str = ""
    on: str = ""
    name: str = "measure"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        by, on = checked_by(self.by), checked_date(self.on)
        for key, readings in self.readings:
            held = splice_of(draft, key)
            made = read_again(held, tuple(checked_reading(one) for one in readings))
            draft.put(replace(made, status=_made(held), done_by=by or held.done_by, done_on=on or held.done_on))


@dataclass(frozen=True, slots=True)
class SpliceAgain:
    """Joints were broken open and made again: what was recorded of each is kept as a try, the new one starts bare.

    ``by`` and ``on`` are of the new one. Raises EditError for a joint nobody has made yet.
    """

    splices: tuple[SpliceId, ...]
    by: str = ""
    on: str = ""
    name: str = "again"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        by, on = checked_by(self.by), checked_date(self.on)
        for key in self.splices:
            held = splice_of(draft, key)
            if held.status == "planned":
                raise EditError("a joint that is not made cannot be made again", hint="Mark it as done first")
            _made(held)  # refuses one that is to be removed; what is made anew is new work
            tried = Attempt(held.measured, held.done_by, held.done_on)
            draft.put(
                replace(
                    held,
                    status="done",
                    measured=(),
                    done_by=by,
                    done_on=on,
                    attempts=(*held.attempts, tried),
                )
            )


@dataclass(frozen=True, slots=True)
class Vouch:
    """How well joints are known. Raises EditError for a missing joint or a bad date."""

    splices: tuple[SpliceId, ...]
    evidence: Evidence
    name: str = "seen"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        mark = replace(self.evidence, by=checked_by(self.evidence.by), date=checked_date(self.evidence.date))
        for key in self.splices:
            draft.put(replace(splice_of(draft, key), evidence=mark))


@dataclass(frozen=True, slots=True)
class TypeReading:
    """One reading of a joint as it is typed into a field; an empty text takes it out.

    Raises EditError for a missing joint or a text that is no loss.
    """

    splice: SpliceId
    wavelength_nm: int
    direction: Literal["A-B", "B-A", "estimate"]
    text: str
    name: str = "type a reading"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        if self.text.strip():
            reading = Reading(self.wavelength_nm, self.direction, parse_db(self.text))
            Measure(((self.splice, (reading,)),)).write(draft)
            return
        held = splice_of(draft, self.splice)
        gone = _like(Reading(self.wavelength_nm, self.direction, 0.0))
        draft.put(replace(held, measured=tuple(r for r in held.measured if _like(r) != gone)))


@dataclass(frozen=True, slots=True)
class PlanLoss:
    """The loss that joints are planned with, dB as typed. Raises EditError below zero or for what is no loss."""

    splices: tuple[SpliceId, ...]
    text: str
    name: str = "plan a loss"

    def write(self, draft: Draft) -> None:
        """Write into the draft."""
        loss_db = parse_db(self.text)
        if not 0 <= loss_db <= LOSS_DB[1]:
            raise EditError(f"{loss_db:g} dB cannot be planned", hint=f"Plan 0 to {LOSS_DB[1]:g} dB, usually 0.1")
        for key in self.splices:
            draft.put(replace(splice_of(draft, key), planned_db=loss_db))
