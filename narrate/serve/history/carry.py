"""Promises carried from visit to visit until a narrative closes them, and what is found again and again.

A promise is closed by work that is told as done later: the part that it speaks of is fitted, or the act that it speaks
of is done to it, at a place that does not contradict it. That a thing was only looked at closes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from narrate.serve.history.gather import Visit

_VERB = "verb "
_AGAINST = {}
for _one, _other in (("front", "rear"), ("left", "right"), ("upper", "lower"), ("inner", "outer")):
    _AGAINST[_one], _AGAINST[_other] = _other, _one


class Mention(NamedTuple):
    """One time that a promise was made or repeated, and how."""

    date: str
    narrative: int
    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Closing:
    """The work that closed a promise, in the words that tell it."""

    date: str
    narrative: int
    words: str


@dataclass(frozen=True, slots=True)
class Promise:
    """Something recommended, declined, planned or promised. `kind` and `text` as said last; `meter` as it was first."""

    mentions: tuple[Mention, ...]
    meter: dict[str, Any] | None
    things: tuple[str, ...]
    closing: Closing | None = None

    @property
    def kind(self) -> str:
        return self.mentions[-1].kind

    @property
    def text(self) -> str:
        return self.mentions[-1].text

    @property
    def since(self) -> str:
        return self.mentions[0].date

    @property
    def visits(self) -> int:
        """At how many visits it was said."""
        return len({one.narrative for one in self.mentions})


@dataclass(frozen=True, slots=True)
class Carried:
    """What is open after the last visit, and what was closed on the way, each in the order it was first said."""

    open: tuple[Promise, ...]
    closed: tuple[Promise, ...]


@dataclass(frozen=True, slots=True)
class Recurring:
    """A thing of which something was found or complained of at more than one visit."""

    thing: str
    visits: tuple[tuple[str, dict[str, Any] | None, str], ...]  # date, meter, words


@dataclass(slots=True)
class _Open:
    """A promise on its way: what of it is still to be done."""

    order: int
    meter: dict[str, Any] | None
    keys: tuple[str, ...]  # what it is found by: its things, else its verbs, else its own words
    left: set[str]
    verbs: set[str]
    places: set[str]
    fits: bool
    looks: bool
    things: tuple[str, ...]
    mentions: list[Mention] = field(default_factory=list)
    at: int = 0  # the character of its narrative at which it was said last

    def ended(self, closing: Closing | None) -> Promise:
        return Promise(tuple(self.mentions), self.meter, self.things, closing)


_NONE: dict[int, _Open] = {}


class _Carrier:
    def __init__(self) -> None:
        self.by_key: dict[str, dict[int, _Open]] = {}
        self.open: dict[int, _Open] = {}
        self.closed: list[tuple[int, Promise]] = []
        self.count = 0
        self.looked_for: dict[str, dict[int, _Open]] = {}  # of these the ones that looking keeps
        self.verbs: set[str] = set()  # every act that was ever promised
        self.verb_keys: set[str] = set()  # those by which open promises are found that name no thing

    def visit(self, visit: Visit) -> None:
        """First what was promised before and is done now, then what is promised anew, then what was kept at once."""
        held = visit.held
        done = held["done"]
        if self._may_close(done):
            self._close_earlier(visit, done[5])
        made = [self.make(visit, promise) for promise in held["promises"]]
        if made and done[4] > (first := min(promise.at for promise in made)):
            for act in done[5]:
                if act[0] > first and (act[1] or any(act[2] in promise.verbs for promise in made)):
                    self.close(visit, act, [p for p in made if act[0] > p.at and p.order in self.open])

    def _may_close(self, done: Sequence[Any]) -> bool:
        """Whether anything that was done at a visit can close anything that is open: of most visits a glance tells."""
        if not self.open:
            return False
        fitted, looked, other, verbs, _, _ = done
        if not self.by_key.keys().isdisjoint(fitted.split()) or not self.looked_for.keys().isdisjoint(looked.split()):
            return True
        if self.verbs.isdisjoint(verbs.split(",")):
            return False
        return bool(self.verb_keys) or not self.by_key.keys().isdisjoint(f"{looked} {other}".split())

    def _close_earlier(self, visit: Visit, acts: Iterable[Sequence[Any]]) -> None:
        by_key = self.by_key
        for act in acts:
            _, closes, verb, joined, _, _ = act
            known = verb in self.verbs
            if closes == "f" or known:
                among = by_key
            elif closes == "l":
                among = self.looked_for
            else:
                continue  # neither fitting nor looking, and never promised
            for key in joined.split() if among else ():
                if key in among:
                    self.close(visit, act, list(among[key].values()))
            if verb in self.verb_keys:
                self.close(visit, act, list(by_key[_VERB + verb].values()))

    def make(self, visit: Visit, said: list[Any]) -> _Open:
        kind, text, at, joined, verbs_joined, places_joined, fits, looks = said
        things, places = tuple(joined.split()), set(places_joined.split())
        keys = things or _keys_of(verbs_joined, text)
        same = self.again(keys, places)
        if same is None:
            verbs = set(verbs_joined.split(",")) - {""}
            same = _Open(self.count, visit.meter, keys, set(things), verbs, places, fits, looks, things)
            self.count += 1
            self.open[same.order] = same
            for key in keys:
                self.by_key.setdefault(key, {})[same.order] = same
                if looks:
                    self.looked_for.setdefault(key, {})[same.order] = same
            self.verbs |= verbs
            self.verb_keys |= set() if things else verbs
        same.mentions.append(Mention(visit.date, visit.narrative, kind, text))
        same.at = at
        return same

    def again(self, keys: Sequence[str], places: set[str]) -> _Open | None:
        """The first open promise that one of the keys finds, at no place that contradicts: said again, it is the
        same."""
        found: _Open | None = None
        for key in keys:
            for one in self.by_key.get(key, _NONE).values():
                if (found is None or one.order < found.order) and not _apart(one.places, places):
                    found = one
        return found

    def close(self, visit: Visit, act: Sequence[Any], promises: Iterable[_Open]) -> None:
        """What of some promises an act, or a part that went in, closes."""
        _, closes, verb, joined, places, words = act
        things = joined.split()
        for one in promises:
            if _answers(one, closes, verb) and _there(one, things, places):
                one.left.difference_update(things)
                if not one.left:
                    self.end(one, Closing(visit.date, visit.narrative, words))

    def end(self, one: _Open, closing: Closing) -> None:
        self.closed.append((one.order, one.ended(closing)))
        del self.open[one.order]
        for key in one.keys:
            for held in (self.by_key, self.looked_for):
                if one.order in held.get(key, ()):
                    del held[key][one.order]
                    if not held[key]:
                        del held[key]
            if key not in self.by_key:
                self.verb_keys.discard(key.removeprefix(_VERB))


def carry_promises(visits: Sequence[Visit]) -> Carried:
    """Every promise of a vehicle's visits, open or closed."""
    carrier = _Carrier()
    for visit in visits:
        carrier.visit(visit)
    left = tuple(one.ended(None) for _, one in sorted(carrier.open.items()))
    return Carried(left, tuple(promise for _, promise in sorted(carrier.closed, key=lambda pair: pair[0])))


def _apart(one: set[str], other: set[str]) -> bool:
    """Whether two sets of places contradict each other: the front and the rear."""
    for place in one:
        against = _AGAINST.get(place)
        if against is not None and against in other and place not in other and against not in one:
            return True
    return False


def _keys_of(verbs: str, text: str) -> tuple[str, ...]:
    """What a promise that names no thing is found by."""
    return tuple(_VERB + verb for verb in sorted(set(verbs.split(",")) - {""})) or (f"words {text.casefold()}",)


def _answers(one: _Open, closes: str, verb: str) -> bool:
    """Whether work is of the kind that was promised, whatever it was done to."""
    if verb and verb in one.verbs:
        return True
    return bool(one.things) and ((closes == "f" and (one.fits or one.looks)) or (closes == "l" and one.looks))


def _there(one: _Open, things: Sequence[str], places: str) -> bool:
    """Whether work was done to one at least of the things that were promised, at no place that contradicts."""
    if one.things and one.left.isdisjoint(things):
        return False
    return not (places and one.places and _apart(one.places, set(places.split())))


def find_recurring(visits: Sequence[Visit]) -> tuple[Recurring, ...]:
    """Things of which something was found at two visits or more, those of the most visits first."""
    found: dict[str, dict[int, tuple[str, dict[str, Any] | None, str]]] = {}
    for visit in visits:
        for _, text, things in visit.held["findings"]:
            for thing in things.split():
                told = (visit.date, visit.meter, text)
                found.setdefault(thing, {}).setdefault(visit.narrative, told)
    often: dict[tuple[tuple[int, str], ...], Recurring] = {}
    for thing, by in sorted(found.items(), key=lambda pair: (-len(pair[0]), pair[0])):
        if len(by) > 1:  # "oil leak at the valve cover gasket" is one matter, called by its longer name
            often.setdefault(tuple((at, told[2]) for at, told in by.items()), Recurring(thing, tuple(by.values())))
    return tuple(sorted(often.values(), key=lambda one: (-len(one.visits), one.thing)))
