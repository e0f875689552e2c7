"""Which words are the subject of what follows: a statement begins with its subject, not with its verb.

"put a thermostat in | the alternator wasn't changed", "replaced the thermostat | customer declined the alternator": where
nobody sets a full stop, a predicate that cannot belong to the words before it brings its own subject.
"""

from __future__ import annotations

from narrate.core.handoffs import Gap
from narrate.read.clauses.shapes import PARTICLES, Shapes

DENIED = frozenset(
    "wasn't weren't isn't aren't hasn't haven't hadn't didn't doesn't don't won't wouldn't can't couldn't shouldn't wasnt "
    "werent isnt hasnt havent didnt doesnt dont wont wouldnt cant couldnt ain't".split()
)
NEGATIVE = frozenset(
    ("no", "nothing", "didn't", "didnt", "don't", "dont", "haven't", "havent", "wasn't", "never", "not")
)
MODAL = frozenset("should should've shoulda would could coulda woulda will can may might must ought".split())
_ADVERBS = frozenset("really also still just never probably already finally even both all only".split())
_COUNTING = frozenset("one no each every any both all".split())
NOMINATIVE = frozenset(
    "i we he she they i'm we're he's she's they're i've we've they've i'd we'd he'd she'd they'd i'll we'll he'll she'll "
    "they'll you'll you'd you've you're".split()
)
_TERMS = frozenset("week month time visit service year monday tuesday wednesday thursday friday saturday".split())


class Subjects(Shapes):
    """The questions about subjects that cutting asks."""

    def predicate(self, i: int) -> bool:
        """Whether a predicate that needs a subject before it starts at i, and the words before it can be one."""
        low = self.lows[i]
        if low in DENIED or low in MODAL or i in self.told_by_cue:
            return self.noun_at[self._past_adverbs(i) - 1] and not (i in self.told_by_cue and self._of_place(i))
        if low in ("not", "still", "never") and i + 1 < len(self.lows):
            follows = self._next(i)
            verb = self.verb_start.get(i + 1)
            return self.noun_at[i - 1] and (
                (verb is not None and follows.endswith("ed"))
                or follows in ("needed", "done", "required", "to")
                or (low == "still" and follows in self.sets["state-verb"])
            )
        return False

    def _of_place(self, i: int) -> bool:
        """ "Swapped in a fan from the parts house | reused the clips": what stands behind a preposition is no subject of
        an act that has its own object."""
        start = self._phrase_start(i, 0)
        return self._object_behind(i) and start > 0 and self.lows[start - 1] in self.sets["preposition"]

    def own_subject(self, i: int, here: int) -> int | None:
        """Where the statement of the predicate at i begins: with its subject, if something complete stands before it."""
        start = self.subject_start(i, here)
        if start > here and self._needs_object(start) and self.lows[i] in DENIED and i - start < 4:
            return i if start - here < 4 else None  # "replaced the pump | didn't need to ...": mine
        if all(
            self.in_phrase[j] or self.in_place[j] or self.lows[j] in self.sets["determiner"] for j in range(here, start)
        ):
            return None  # the clause is the subject so far
        told = any(self.verbal[j] or j in self.verb_start or self.noun_at[j] for j in range(here, start))
        if start <= here or not told:
            return None
        return start if self._may_end(start, here) or self._particle_closes(start, here) else None

    def subject_start(self, i: int, here: int) -> int:
        """The first word of the noun phrase before i; where a verb stands straight before two names side by side, the
        first is its object and the second the subject."""
        at = self._past_adverbs(i)
        start = self._phrase_start(at, here)
        names = [j for j in range(start, at) if j in self.names]
        if len(names) > 1 and start > here and self._needs_object(start):
            return names[-1]
        return start

    def _past_adverbs(self, i: int) -> int:
        while i > 1 and self.lows[i - 1] in _ADVERBS:
            i -= 1
        return i

    def _particle_closes(self, start: int, here: int) -> bool:
        """ "put a new thermostat in | ...", "bolted it up | ...": the particle of a verb behind its object."""
        if self.lows[start - 1] not in PARTICLES or start - 3 < here:
            return False
        thing = self.noun_at[start - 2] or self.lows[start - 2] in ("it", "them", "one", "ones", "there", "back")
        return thing and any(j in self.verb_start for j in range(here, start - 2))

    def nominative(self, i: int, here: int) -> bool:
        """ "put it in | you don't want ...": no preposition has such a word behind it."""
        last = self.lows[i - 1]
        if last not in PARTICLES and last not in self.numbers:
            return False
        if self.lows[i] in NOMINATIVE:
            return True
        return self.lows[i] == "you" and (
            self._next(i) in DENIED or self._next(i) in ("always", "never", "gotta", "want")
        )

    def somebody(self, i: int, here: int) -> bool:
        """Whether somebody else is named at i as the subject of what follows: "the last guy put", "customer declined"."""
        low, last = self.lows[i], self.lows[i - 1]
        determined = low in self.sets["determiner"] and low not in _COUNTING
        if not determined and low not in self.sets["other-hand"]:
            return False
        if self.tokens[i].gap >= Gap.LINE or last in self.sets["determiner"]:
            return False
        if self._hangs(i, here) and not self._particle_closes(i, here):
            return False
        if not determined and last in self.sets["old"]:
            return False
        for j in range(i + determined, min(i + 4, len(self.lows))):
            if self.lows[j] in self.sets["other-hand"]:
                return self._acts(j + 1)
            if self.noun_at[j] or j in self.verb_start or self.lows[j] in self.sets["preposition"]:
                return False
        return False

    def _acts(self, j: int) -> bool:
        """Whether a verb stands at j, perhaps behind a place or an adverb."""
        for k in range(j, min(j + 5, len(self.lows))):
            if self.tokens[k].gap >= Gap.LINE or self.lows[k] in self.sets["sentence-end"]:
                return False
            if self.lows[k] in NOMINATIVE:
                return False  # "sent it to the other guy | he's gonna do it"
            if self.verbal[k] or self.finite[k] or self.lows[k] in DENIED or self.lows[k] in MODAL:
                return True
            if k > j + 1 and self.lows[k] in self.sets["subject"]:
                return False
        return False

    def _told_of(self, i: int, here: int) -> int | None:
        """Where the statement of a participle with its own subject and an amount begins: "... maybe a cup | front diff
        topped up about two hundred mil"."""
        hit = self.verb_start[i]
        if not self.lows[i].endswith("ed") or not self.noun_at[i - 1] or hit.last >= len(self.lows):
            return None
        low = self.lows[hit.last]
        if not (self._number(hit.last) or low in ("about", "approx", "roughly", "around", "maybe")):
            return None
        start = self._phrase_start(i, here)
        while start - 1 > here and self.in_place[start - 1]:
            start -= 1
        if start <= here + 1 or start - 1 in self.in_verb or self._hangs(start, here):
            return None
        return start if any(self.verbal[j] for j in range(here, start)) else None

    def _put_off(self, i: int) -> bool:
        """ "He wants them done next week | wiper blades replaced": the day put off to ends what was put off."""
        if self.lows[i - 1] in ("tomorrow", "tonight"):
            return True
        return self.lows[i - 2] in ("next", "this") and self.lows[i - 1] in _TERMS

    def _sided(self, i: int, here: int) -> int:
        """ "Torn wide open | left one's got slop": the side stands before the word that it is of."""
        j = i
        if self.lows[i] in ("one", "one's"):
            while j - 1 > here + 1 and (self.in_place[j - 1] or self.lows[j - 1] in ("the", "other")):
                j -= 1
        return j

    def _puts(self, first: int, i: int) -> bool:
        """ "Put the wheels | back on", "took it | back over": no, the particle of an act that has its object before it."""
        if self.lows[i - 1] in ("it", "them", "her", "him", "em", "that", "those"):
            return True
        return any(j in self.verb_start and self.verb_start[j].id in ("put-in", "install") for j in range(first, i))

    def _number(self, j: int) -> bool:
        return self._next(j, 0) in self.numbers or self._next(j, 0)[:1].isdigit()
