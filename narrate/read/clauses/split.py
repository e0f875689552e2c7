"""Tokens -> clauses: runs that each tell one thing.

Punctuated text is cut at its own marks. Speech with none is cut where a listener would: at words that open a
statement, at a subject with its verb, at a second verb, at "new ..." and "no ..." after something complete, and at
caption pauses that leave nothing hanging.
"""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Gap, Hit, Token
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.values import value_class
from narrate.read.clauses.shapes import LEADS_SUBJECT, PARTICLES
from narrate.read.clauses.subjects import DENIED, MODAL, NEGATIVE, Subjects
from narrate.read.clauses.turns import find_turns

_MOVING = frozenset(("in", "out", "back"))
_GOES_ON = frozenset("of to into onto from off out away apart back up down".split())  # after a pause: no beginning
_LONGEST = 120  # tokens; what goes on longer is no one statement, and every stage may look at all of a clause
_REFUSES = frozenset(("wouldn't", "won't", "didn't", "doesn't", "couldn't", "isn't", "wasn't", "weren't"))
_TORQUED = frozenset("foot ft inch newton newtons nm pounds lb lbs ft-lb ft-lbs in-lb".split())
_EXISTS = frozenset(("was", "were", "is", "are", "wasn't", "weren't", "isn't", "aren't"))
_NO_WAIT = frozenset(("wait", "sorry", "make", "actually", "that's", "it's", "scratch", "i", "not"))


@value_class(frozen=True, slots=True)
class Cut:
    """Where a clause begins, and whether a sentence does too."""

    at: int
    sentence: bool


def cut_clauses(tokens: Sequence[Token], hits: Sequence[Hit], lexicon: Lexicon) -> list[Cut]:
    """The beginnings of all clauses, in order; the first is token 0. No tokens, no clauses."""
    return _Cutter(tokens, hits, lexicon).run() if tokens else []


class _Cutter(Subjects):
    """Cuts where a listener would."""

    def run(self) -> list[Cut]:
        words = [t.text for t in self.tokens if t.text.isalpha() and len(t.text) > 1]
        self.mixed_case = 4 * sum(map(str.istitle, words)) < len(words)
        colons = [i for i, low in enumerate(self.lows) if low == ":"]
        self.colon_behind = {i: at for at in reversed(colons) for i in range(max(0, at - 4), at)}  # the next, if near
        turns, ends = find_turns(self), self.sets["sentence-end"]
        cuts = [Cut(0, True)]
        has_verb = self.verbal[0]
        for i in range(1, len(self.tokens)):
            here, token = cuts[-1].at, self.tokens[i]
            may = token.gap >= Gap.LINE or self.lows[i - 1] in ends or i in self.colon_behind
            if (may or (self.mixed_case and token.text[0].isupper())) and self._sentence(i):
                cuts.append(Cut(i, True))
                has_verb = self.verbal[i]
                continue
            start = self._clause(i, here, has_verb) if turns[i] else None
            if start is None and i - here >= _LONGEST and self.tokens[i].gap > Gap.GLUED:
                start = i  # no statement: a list, or noise
            if start is not None and start > here:
                start = self._sided(start, here)
                cuts.append(Cut(start, False))
                has_verb = any(self.verbal[start : i + 1])
            elif self.verbal[i]:
                has_verb = True
        return cuts

    def _sentence(self, i: int) -> bool:
        gap = self.tokens[i].gap
        if gap >= Gap.LINE:
            return True
        last = self.lows[i - 1]
        if self.mixed_case and self.tokens[i].text[0].isupper() and self._capital(i, last):
            return True
        if i in self.colon_behind and self._headed(i):
            return True
        if last not in self.sets["sentence-end"] or gap == Gap.GLUED:
            return False
        if (
            last == "."
            and i >= 2
            and self.tokens[i - 1].gap == Gap.GLUED
            and self.lows[i - 2] in self.sets["abbreviation"]
        ):
            return self.tokens[i].text[:1].isupper() and self.lows[i - 2] not in (
                "no",
                "nos",
                "approx",
                "dr",
                "mr",
                "vs",
            )
        return True

    def _headed(self, i: int) -> bool:
        """ "... ok till then NOT DONE: oil change": a heading in capitals, wherever its line was wrapped."""
        at = self.colon_behind[i]
        if not self._shouts(at - 1) or (self._shouts(i - 1) and not self._shouts(i)):
            return False
        said = " ".join(self.lows[i:at])
        return said in self.sets["heading-not-done"] or said in self.sets["heading-to-do"]

    def _shouts(self, i: int) -> bool:
        text = self.tokens[i].text
        return len(text) > 1 and text.isupper() and text.isalpha()

    def _next_amount(self, i: int, last: str) -> bool:
        """ "out 3.1 L | in 3.4 L", "34 quarts drained | 35 quarts back in": an amount is told, and another begins."""
        units = self.sets["poured-unit"]
        if self.lows[i] in _MOVING:
            return last in units and self._amount(i + 1)
        return self.lows[i - 2] in units and self._amount(i)

    def _amount(self, at: int) -> bool:
        number = at < len(self.lows) and (self.lows[at][:1].isdigit() or self.lows[at] in self.numbers)
        return number and not self.sets["poured-unit"].isdisjoint(self.lows[at + 1 : at + 5])

    def _capital(self, i: int, last: str) -> bool:
        """A capital at i that only the start of a sentence explains, where its full stop was left out: an everyday word of
        the trade, behind a word in small letters that leaves nothing hanging."""
        text, before = self.tokens[i].text, self.tokens[i - 1].text
        if not text[1:].islower() or self.tokens[i].gap == Gap.GLUED:
            return False
        if not before.islower() or last in self.sets["dangling"] or last in self.sets["preposition"]:
            return False
        known = i in self.verb_start or self.noun_at[i] or self.in_place[i]
        return known or any(self.lows[i] in self.sets[name] for name in ("determiner", "subject", "new", "opener"))

    def _clause(self, i: int, here: int, has_verb: bool) -> int | None:
        """Where a clause starts, if the words up to i say that one does; None where they do not."""
        low, last = self.lows[i], self.lows[i - 1]
        if last in self.sets["clause-mark"] or low in ("(", "->", "=>"):
            if last in ("–", "—") and self.tokens[i].gap == Gap.GLUED:
                return None
            return i
        if last == "-" and self._dash(i - 1):
            return i
        if (
            self.tokens[i].gap == Gap.PAUSE
            and last not in self.sets["dangling"]
            and not low[:1].isdigit()
            and low not in _GOES_ON
            and i - here > 1
        ):
            return i
        if i in self.after_quote:
            return i
        if i - here >= 2 and i in self.names and self._put_off(i):
            return i
        if i - here >= 2 and (low in _MOVING or i - 1 in self.in_verb) and self._next_amount(i, last):
            return i
        if i in self.after_fault and i in self.names and i not in self.verb_start:
            return i  # "the bearing is rough | identifier came back ..."
        if i in self.inside_cue or i in self.corrected:
            return None
        if (i - here >= 2 and self._after_pronoun(i)) or (i in self.names and self._tightened(i, here)):
            return i
        if last == "nothing" and i - 2 in self.in_verb and (low in ("just", "only") or self.finite[i]):
            return i  # "replaced nothing | just cleaned it"
        if (low in self.openers or last in self.sets["fine"]) and self._opens(i, last):
            return i
        if low in ("and", "or") and self._complete(here, i) and self._conjoins(i):
            return i
        if i - here >= 2 and (self.somebody(i, here) or self.nominative(i, here)):
            return i
        if i > here and self.predicate(i):
            return self.own_subject(i, here)
        if i - here >= 2 and has_verb and i in self.asides and last not in self.sets["auxiliary"]:
            return i
        hangs = self._hangs(i, here)
        if i - here >= 2 and low in NEGATIVE and self._particle_closes(i, here):
            hangs = False
        if i - here >= 2 and not hangs:
            if low == "there" and self._next(i) in _EXISTS and self.noun_at[i - 1]:
                return i  # "two quarts of coolant | there was a cup left"
            if low in self.sets["subject"] and self._subject(i):
                return i
            if low in NEGATIVE and not (low == "no" and self._next(i) in _NO_WAIT) and low != "not":
                return None if low == "nothing" and i - 1 in self.in_verb else i  # "bled nothing": its object
            if low == "did" and self._next(i) == "not":
                return i
            if self._new_subject(i):
                return i
            if i in self.remarks and last not in self.sets["subject"] and last not in self.sets["auxiliary"]:
                return i
        if (
            i - here >= 2
            and not has_verb
            and self.lows[here] in ("no", "nothing")
            and self._acts_on(i, here)
            and not hangs
        ):
            return i  # "nothing chunky | cleaned the pan", "no codes | pulled the battery"
        own = self._told_of(i, here) if i in self.verb_start else None
        if own is not None:
            return own
        stated = low in self.sets["state-verb"]  # "70 ft-lb is the book figure"
        measured = last in _TORQUED and not stated and any(self._number(j) for j in range(max(here, i - 4), i))
        valued = (last in self.numbers or measured) and not hangs  # "... and the wheels to a hundred | bled the brakes"
        if (has_verb or valued) and i - here >= 2:
            if low in self.sets["new"] or low in self.sets["rebuilt"]:
                start = self._new_start(i, here)
                if start > here + 1 and self._may_end(start, here) and not self._takes(start, here):
                    return start
            if (
                self.finite[i]
                and not (
                    low in PARTICLES and last in ("it", "them") and i - 2 in self.in_verb
                )  # "take it out of service"
                and not self._causative(i, here)
                and not (low == "back" and self._puts(max(here, i - 4), i))
                and last not in self.sets["auxiliary"]
                and last not in ("to", "not", "and", "just", "also", "then", "never", "ever", "already")
                and last not in DENIED
                and not ("'" in last and last in self.sets["subject"])
                and not last.endswith(("'ll", "'d", "'ve", "'re", "'m"))
            ):
                state = low in self.sets["state-verb"] and not self._with_object(i)
                start = self.subject_start(i, here) if state else self._passive_start(i, here)
                if state and last not in self.sets["particle"] and self._of_me(i, here):
                    start = i
                own = self._subject_of(i, here) if start == i else None
                start = min(start, own or start)
                if start > here + 1 and (
                    self._may_end(start, here)
                    or (start == i and last in PARTICLES)
                    or (state and self._particle_closes(start, here))
                ):
                    return start
        return None

    def _after_pronoun(self, i: int) -> bool:
        """ "Got five quarts out of her | a little fuzz on the magnet": what stands behind "of it" is no object of it."""
        if self.lows[i] not in ("a", "an", "the", "just") or self.lows[i - 1] not in ("it", "her", "him", "them"):
            return False
        return self.lows[i - 2] in ("of", "on", "in", "from", "into", "onto", "with")

    def _tightened(self, i: int, here: int) -> bool:
        """ "Put sealant on it | pan bolts to nine foot pounds", "no reason to buy one | bracket bolts 35 foot pounds": a
        fastener and its torque begin anew."""
        if i - here < 3:
            return False
        taken = self.lows[i - 1] == "one" and (i - 2 in self.in_verb or self.lows[i - 3] == "to")
        if not taken and (self.lows[i - 1] in self.sets["determiner"] or self._hangs(i, here)):
            return False
        if i - 1 in self.in_verb or self.in_place[i - 1] or self.lows[i - 1] in self.sets["new"]:
            return False
        if any(self._number(k) or not self.lows[k][0].isalnum() for k in range(max(here, i - 3), i - taken)):
            return False  # "tightened the 1/4 in nuts to 16 Nm"
        j = i
        while self.noun_at[j] and j + 1 < len(self.lows):
            j += 1
        j += self.lows[j] in ("to", "at", "got")
        return self._number(j) and any(self._at(k) in _TORQUED for k in range(j + 1, j + 6))

    def _acts_on(self, i: int, here: int) -> bool:
        """ "Cleaned the pan", "pulled my own": an act told as past, and its object straight behind it."""
        hit = self.verb_start.get(i)
        if hit is None or not self.finite[i] or hit.last >= len(self.lows):
            return False
        placed = any(self.lows[j] in self.sets["preposition"] for j in range(here, i))
        if self.noun_at[i - 1] and not placed and (self.lexicon.verbs[hit.id].fits or self.lexicon.verbs[hit.id].moves):
            return False  # "no new gasket fitted the old one was fine"
        return self.lows[hit.last] in LEADS_SUBJECT or self.lows[hit.last] in self.sets["new"]

    def _with_object(self, i: int) -> bool:
        """ "Hung a caliper on it": an act that has begun on its object, whoever stands before it."""
        hit = self.verb_start.get(i)
        return hit is not None and hit.last - i > 1 and self.lows[hit.last - 1] in ("a", "an", "another", "the")

    def _opens(self, i: int, last: str) -> bool:
        low = self.lows[i]
        if low in self.sets["fine"] and (last in self.sets["auxiliary"] or self.noun_at[i - 1]):
            return False  # "the hose was okay": a finding, no opener
        if last in self.sets["fine"] and i >= 2 and self._was_predicate(i - 1) and low not in self.sets["preposition"]:
            return True
        openers = self.openers.get(low)
        if openers is None:
            return False
        if (
            (low, last) != ("so", "right")
            and last in ("or", "right", "just", "all", "even", "as", "not", "every", "ever")
            and low
            in (
                "so",
                "now",
                "then",
                "as",
                "since",
                "when",
                "once",
            )
        ):
            return False
        if low in ("now", "also") and (last in self.sets["subject"] or i < 2) and self._finite_next(i):
            return False  # "she now has ..."
        if low == "so" and last == "is" and self._next(i) == "that's":
            return False
        if low in ("after", "before", "until", "since") and (
            self._next(i)[:1].isdigit() or self._next(i) in (".", ",", ":", "")
        ):
            return False
        if low == "so" and self._next(i) in ("much", "bad", "far", "many", "hard"):
            return False
        if low in ("after", "before") and self._next(i) in ("me", "him", "her", "us", "them"):
            return False
        if low in ("who", "which", "where") and last in self.sets["preposition"]:
            return False
        return any(tuple(self.lows[i : i + size]) in openers for size in (3, 2, 1))

    def _dash(self, i: int) -> bool:
        """Whether the hyphen at i stands between words as a dash does, and is no minus or range."""
        if i < 1 or self.tokens[i].gap != Gap.SPACE or i + 1 >= len(self.tokens):
            return False
        around = (self.lows[i - 1], self.lows[i + 1])
        listed = self.noun_at[i + 1] or self.lows[i + 1] in self.sets["new"]  # "reservoir - not bled" goes on
        return (
            listed
            and self.tokens[i + 1].gap == Gap.SPACE
            and all(w[0].isalpha() and w not in self.numbers for w in around)
        )

    def _counted_subject(self, i: int) -> bool:
        """ "I cleaned those and one nut wouldn't thread": a count, its part, and a verb."""
        j = i + 2
        while j < len(self.lows) and (self.noun_at[j] or self.in_place[j]):
            j += 1
        told = j < len(self.lows) and (self.finite[j] or self.lows[j] in _REFUSES)
        return j > i + 2 and told and self.lows[i - 1] not in self.numbers and j - i < 6

    def _conjoins(self, i: int) -> bool:
        """Whether "and" at i joins statements, not nouns: a verb, a subject or something new follows soon."""
        nxt = self._next(i)
        if nxt in self.numbers and self._counted_subject(i):
            return True
        if nxt in self.numbers or (nxt in ("a", "an") and self._next(i, 2) in ("half", "quarter", "third")):
            return False  # two hundred and ninety, a gallon and a half
        if nxt.isdigit() and i + 2 in self.verb_start:
            return False  # "glow plugs 2 and 4 replaced"
        if nxt in self.sets["subject"] or nxt in self.sets["new"] or nxt in NEGATIVE or nxt in ("then", "did"):
            return True
        if i + 1 < len(self.finite) and self.finite[i + 1]:
            return True
        verb = self.verb_start.get(i + 1)
        if verb is not None:
            return True
        for j in range(i + 2, min(i + 8, len(self.lows))):
            if (
                self.tokens[j].gap >= Gap.LINE
                or self.lows[j] in self.sets["clause-mark"]
                or self.lows[j] in self.sets["sentence-end"]
            ):
                return False
            if self.lows[j] in ("and", "or", "but", "so", "then") or self.lows[j] in self.sets["new"]:
                return self.lows[j] in self.sets["new"] and j == i + 2
            if self.finite[j]:
                return True
        return False

    def _subject(self, i: int) -> bool:
        low, nxt = self.lows[i], self._next(i)
        told = nxt in self.sets["auxiliary"] or (i + 1 < len(self.finite) and self.finite[i + 1])
        if i in self.after_complaint and told:
            return True  # "customer says | it squeals"
        if low in ("it", "that", "those", "these", "this", "you") and (self.finite[i - 1] or i - 1 in self.verb_start):
            return False  # "put it on": the object
        if low in ("it", "that", "those", "these", "this") and i >= 2 and not self.noun_at[i - 1]:
            modal = self.lows[i - 2]
            if modal in MODAL or modal.endswith(("'ll", "n't")) or modal in ("to", "gonna", "don't", "never"):
                return False  # "you'll slug it | pulled a vacuum": the object of an act, known or not
        if "'" in low:
            return True
        if low in ("i", "we", "he", "she", "they"):
            return True
        return told or (
            low == "you" and self.lows[i - 1] not in ("told", "tell", "thank", "did", "can", "do", "see", "and")
        )
