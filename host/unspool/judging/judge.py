"""Judge: calls attempts and notes what was measured.

Two judges may look at one attempt. What the second measures is kept beside the first one's. It does
not count until the second has seen the first one's and says so again.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

from unspool.contest import Attempt, Contest, Event, Kind, contest_of, ties
from unspool.contest.events import alive
from unspool.contest.order import next_attempt
from unspool.contest.run_offs import extra_number
from unspool.contest.state import attempt_key
from unspool.errors import ChangedMeanwhileError, InputError
from unspool.judging.log import CLOSED, LONGEST_REMARK, Desk, events_in, said_number, said_text
from unspool.language import _, localised

FURTHEST_M = 1000.0  # nobody tapes more
LONGEST_S = 3600.0
# What a judge notes, and may take back.
JUDGED = frozenset(
    {
        *(Kind.CALLED, Kind.TAPE, Kind.DOUBTED, Kind.TIMED, Kind.REMARK, Kind.PENALTY, Kind.RUN),
        *(Kind.REPEATED, Kind.RUN_OFF),
    }
)
MOST_EXTRA = 20  # attempts of one car in run-offs


class Judge(Desk):
    """Methods raise InputError if what is said cannot be, StoreError as the store does.

    seen: the revision of the attempt that the judge saw, None for any.
    """

    def call_next(self, seen: int | None = None) -> tuple[int, int]:
        """Calls the next attempt in order: the entry and the attempt's number.

        seen: the contest's revision. If somebody called since, their call stands, and is returned.
        """
        contest = self.open_contest()
        if seen is not None and self._called_since(seen) and contest.called:
            return contest.called
        following = next_attempt(contest)
        if following is None:
            raise InputError(_("all attempts were called"))
        return self.call(*following)

    def call(self, entry: int, attempt: int) -> tuple[int, int]:
        contest = self.open_contest()
        one = _attempt(contest, entry, attempt)
        try:
            self._note(one, Kind.CALLED, one.revision)
        except ChangedMeanwhileError:
            if not self.contest.entries[entry].attempts[attempt].called:
                raise
        return entry, attempt

    def tape(self, entry: int, attempt: int, metres: str, seen: int | None = None) -> None:
        """Raises ChangedMeanwhileError with a question if somebody else measured it since."""
        one = _attempt(self.open_contest(), entry, attempt)
        value = said_number(_("tape"), metres, FURTHEST_M)
        try:
            self._note(one, Kind.TAPE, seen, metres=value)
        except ChangedMeanwhileError as error:
            self._tape_after(error, one, value)

    def time(self, entry: int, attempt: int, seconds: str, seen: int | None = None) -> None:
        """By a stopwatch, to the mark."""
        one = _attempt(self.open_contest(), entry, attempt)
        value = said_number(_("time"), seconds, LONGEST_S)

        def differs(event: Event) -> bool:
            return event.kind is Kind.TIMED and event.data["seconds"] != value

        self._note_unless(differs, one, Kind.TIMED, seen, seconds=value)

    def remark(self, entry: int, attempt: int, text: str) -> None:
        one = _attempt(self.open_contest(), entry, attempt)
        self._note(one, Kind.REMARK, None, text=said_text(_("remark"), text, LONGEST_REMARK))

    def penalty(self, entry: int, attempt: int, name: str, seen: int | None = None) -> None:
        """One that the rules name. Raises ChangedMeanwhileError if somebody else noted it since.

        If it is this judge's own, the answer was lost and it was sent again: it counts once.
        """
        contest = self.open_contest()
        one = _attempt(contest, entry, attempt)
        found = next((p for p in contest.rules.penalties if p.name == name), None)
        if found is None:
            raise InputError(_("the rules have no such penalty; look at the page again"))

        def is_same(event: Event) -> bool:
            return event.kind is Kind.PENALTY and event.data["name"] == name

        try:
            self._note_unless(is_same, one, Kind.PENALTY, seen, **found.model_dump())
        except ChangedMeanwhileError:
            since = alive(events_in(self.store, self.id))
            mine = [e for e in since if is_same(e) and e.who == self.who and e.number > (seen or 0)]
            if not any(attempt_key(event) == (entry, attempt) for event in mine):
                raise

    def repeat(self, entry: int, attempt: int, why: str) -> None:
        """The attempt is made again, and is the next to be called; the log keeps what it had."""
        one = _attempt(self.open_contest(), entry, attempt)
        self._note(one, Kind.REPEATED, None, text=said_text(_("reason"), why, LONGEST_REMARK))

    def run_off(self, entry: int) -> None:
        """An extra attempt for each of those that tie with that car, which is one of them."""
        contest = self.open_contest()
        tie = next((one for one in ties(contest) if entry in one.entries), None)
        if tie is None:
            raise InputError(_("these do not tie now; look at the page again"))
        number = extra_number(contest, tie)
        self.note(Kind.RUN_OFF, "run_off", entries=list(tie.entries), number=number)

    def undo(self, event: int) -> None:
        """Takes an event back; the log keeps both."""
        every = events_in(self.store, self.id)
        undone = next((one for one in every if one.number == event), None)
        if undone is None or (undone.kind is not Kind.UNDONE and undone not in alive(every)):
            raise InputError(_("that was taken back already; look at the page again"))
        key = attempt_key(undone)
        if self.contest.closed and undone.kind is not Kind.CLOSED:
            raise InputError(_(CLOSED))
        self.note(Kind.UNDONE, _subject(*key) if key else "setup", event=event)

    def _called_since(self, seen: int) -> bool:
        every = events_in(self.store, self.id)
        return any(one.kind is Kind.CALLED and one.number > seen for one in every)

    def _note(self, one: Attempt, kind: Kind, seen: int | None, **data: object) -> None:
        subject = _subject(one.entry, one.number)
        self.note(kind, subject, seen, entry=one.entry, attempt=one.number, **data)

    def _note_unless(
        self,
        clashes: Callable[[Event], bool],
        one: Attempt,
        kind: Kind,
        seen: int | None,
        **data: object,
    ) -> None:
        """Asks only for what clashes: a run that was attached since is no reason to ask."""
        mine, known = (one.entry, one.number), seen
        while True:
            try:
                self._note(one, kind, known, **data)
                return
            except ChangedMeanwhileError:
                every = events_in(self.store, self.id)
                since = [event for event in every if event.number > (seen or 0)]
                if any(attempt_key(event) == mine and clashes(event) for event in since):
                    raise
                known = contest_of(every).attempt(*mine).revision

    def _tape_after(self, error: ChangedMeanwhileError, one: Attempt, value: float) -> None:
        """Keeps the tape of a second judge as doubted, and asks; the same value needs no question.

        A remark that came between is no reason to ask.
        """
        while True:
            now = self.contest.attempt(one.entry, one.number)
            if now.tape_m is not None and now.tape_by != self.who:
                break
            with suppress(ChangedMeanwhileError):  # something came between again
                self._note(now, Kind.TAPE, now.revision, metres=value)
                return
        if now.tape_m != value:
            self._note(now, Kind.DOUBTED, None, metres=value)
            raise ChangedMeanwhileError(
                _(
                    "{who} measured {theirs} m here in the meantime. Your {yours} m is kept, but"
                    " does not count. Does yours count? Then send it again",
                    who=now.tape_by,
                    theirs=localised(f"{now.tape_m:.2f}"),
                    yours=localised(f"{value:.2f}"),
                )
            ) from error


def may_take_back(judge: Judge, event: int) -> bool:
    """Whether the event is a judge's: of an attempt or a run-off. The rest is the organiser's."""
    found = next((one for one in events_in(judge.store, judge.id) if one.number == event), None)
    return found is None or found.kind in JUDGED


def _subject(entry: int, attempt: int) -> str:
    return f"{entry}/{attempt}"


def _attempt(contest: Contest, entry: int, attempt: int) -> Attempt:
    """Raises InputError if the contest has no such attempt. Extra ones are for a run-off."""
    if entry not in contest.entries:
        raise InputError(_("the contest has no car with the number {number}", number=entry))
    if not 1 <= attempt <= contest.rules.attempts + MOST_EXTRA:
        raise InputError(_("attempt {number} is none of this contest", number=attempt))
    return contest.attempt(entry, attempt)
