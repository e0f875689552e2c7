"""Turns of speech that no phrase alone decides: what is taken back, put off to a day, waits on something, or hangs on a "not"
that the recogniser may have swallowed.

Each question gives marks: tokens `first` to `last` were told in `state`, because of a cue.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from narrate.core.handoffs import Gap, Hit, Token
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.phrases import by_first_word
from narrate.core.records import State
from narrate.read.status.lists import Bound, Mark

DOUBTFUL = "did-or-did-not"  # the rule of a clause that may have lost its "not"
_WORDS_A_MARK = 60  # in writing, a sentence is shorter than this; speech has no marks, or few
_SURE = frozenset(("yes", "yeah", "yep", "yup", "definitely", "actually", "certainly", "indeed"))
_SUPPORTS = frozenset(
    "also too well anyway asked wanted approved since because while".split()
)  # "as well", "like she asked"
_GIVEN = frozenset(("said", "promised", "told", "asked", "wanted"))
_ASKS = frozenset(("what", "how", "why", "when", "where", "who", "which", "as", "so", "nor", "neither"))
_ASKED_OF = frozenset(("i", "we", "they", "he", "she"))
_ANSWERED = frozenset(
    "i we he she they what all thing only so nor neither which that".split()
)  # "what i did i put it in"
_AND_THEN = frozenset(("and", "&", "+", "then", ",", "/", "-"))
_LABEL = 6  # tokens of a label and its mark
_WAITS = frozenset(("once", "when", "until", "till", "after", "before", "if", "unless", "whenever"))
_PAST_OBJECT = frozenset("and or so too as at by when before next but with soon out up down off again".split())
_BEING = frozenset(("is", "are", "be", "being", "gets", "get", "'s", "been"))
_PAST = frozenset(("was", "were", "had", "did", "went", "came", "got", "said", "called"))


class Turns:
    """The turns of one narrative; `bounds` are its clauses (first, last, opens a sentence)."""

    def __init__(
        self,
        tokens: Sequence[Token],
        bounds: Sequence[Bound],
        clause_of: Sequence[int],
        verbs: dict[int, Hit],
        lexicon: Lexicon,
    ) -> None:
        self.tokens, self.bounds, self.clause_of = tokens, bounds, clause_of
        self.verbs, self.lexicon = verbs, lexicon
        self.lows = [t.low for t in tokens]
        self.sets = lexicon.word_sets
        ends = self.sets["sentence-end"]
        marks = len([low for low in self.lows if low in ends])
        self.spoken = marks * _WORDS_A_MARK < len(self.lows)

    def kinds(self, verb: Hit) -> frozenset[str]:
        return self.lexicon.forms_of(self.tokens, verb)

    def told(self, i: int) -> bool:
        """Whether an act stands at i in a form that can only be past."""
        verb = self.verbs.get(i)
        if verb is None or self.lows[verb.last - 1].endswith("s"):
            return False
        return "past" in self.kinds(verb) and "base" not in self.kinds(verb)

    def answers_label(self, hit: Hit, k: int, bounds: Sequence[tuple[int, int, bool]]) -> bool:
        """ "Trans flush: not needed", "Oil change, not done": the cue is all that is told of the work named before it."""
        first, last, begins = bounds[k]
        inside = [i for i in range(first, last) if not hit.first <= i < hit.last]
        if not k or begins or any(self.lows[i][0].isalnum() for i in inside):
            return False
        return not any(i in self.verbs and self.told(i) for i in range(*bounds[k - 1][:2]))

    def adds_stage(self, first: int, last: int) -> bool:
        """Whether a statement goes on with a further stage of a figure, "plus 90 degrees", and tells no act of its own."""
        return self.lows[first] in ("plus", "+") and not any(i in self.verbs for i in range(first, last))

    def base(self, i: int) -> Hit | None:
        """The act at i, in a form that can be the bare verb."""
        verb = self.verbs.get(i)
        return verb if verb is not None and "base" in self.kinds(verb) else None

    def marks(self, days: Sequence[int]) -> list[Mark]:
        """What the turns that need no state of the rest say; `days` are the tokens at which a day is named."""
        said = (self.taken_back(), self.put_off(days), self.swallowed(), self.asked(), self.ordered())
        return [mark for marks in (*said, self.named_for_later(), self.needed(), self.for_then()) for mark in marks]

    def taken_back(self) -> list[Mark]:
        """ "Replaced the plugs, no wait, cleaned the throttle body", "flushed the front one, no I didn't"."""
        turned = by_first_word(self.sets["takes-act-back"])
        struck = by_first_word(self.sets["struck"])
        out: list[Mark] = []
        for i, low in enumerate(self.lows):
            if not i or not (low in turned or low in struck) or self.tokens[i].gap >= Gap.LINE:
                continue
            size = self._length(turned, i)
            strikes = self._length(struck, i)
            if not size and not strikes:
                continue
            end = i
            while end and self.lows[end - 1] in (",", "—", "–", "-", ".", "...", ";"):
                end -= 1
            first = self.bounds[self.clause_of[end - 1]][0] if end else 0
            if not any(k in self.verbs for k in range(first, end)):
                continue
            if strikes or self._acts_behind(i + size):
                out.append((first, end, "retracted", Hit("cue", "takes-act-back", i, i + (strikes or size))))
        return out

    def _length(self, phrases: Mapping[str, Collection[tuple[str, ...]]], i: int) -> int:
        """How many words the longest of the phrases at i has; 0 where none stands there."""
        if i >= len(self.lows) or self.lows[i] not in phrases:
            return 0
        known = phrases[self.lows[i]]
        return next((n for n in (4, 3, 2, 1) if tuple(self.lows[i : i + n]) in known), 0)

    def _acts_behind(self, j: int) -> bool:
        while j < len(self.lows) and self.lows[j] in (",", "just", "only", "i", "we", "me"):
            j += 1
        return self.told(j)

    def put_off(self, days: Sequence[int]) -> list[Mark]:
        """ "We're putting pads in monday": an act of fitting that goes on, or will, and the day that it is for."""
        out: list[Mark] = []
        for day in days:
            first, last, _ = self.bounds[self.clause_of[day]]
            for i in range(first, day):
                verb = self.verbs.get(i)
                if verb is None or not self.lexicon.verbs[verb.id].fits:
                    continue
                low = self.lows[i]
                going = low.endswith("ing") or low == "goes" or (low.endswith("s") and "s" in self.kinds(verb))
                if going and self.lows[max(0, i - 1)] not in ("was", "were"):
                    out.append((first, last, "planned", Hit("cue", "put-off", day, day + 1)))
        return out

    def ordered(self) -> list[Mark]:
        """ "Drive 50 mi and retest", "owner to drive 50 miles": a drive ordered of somebody, or with another order behind it."""
        out: list[Mark] = []
        then = by_first_word(self.sets["ordered-then"])
        for verb in self.verbs.values():
            act = self.lexicon.verbs[verb.id]
            if not (act.bare and act.looks) or " ".join(self.lows[verb.first : verb.last]) != act.say[0]:
                continue  # "road test 10 mi, retorque the wheels" is how notes tell of work
            k = self.clause_of[verb.first]
            first, end, _ = self.bounds[k]
            if not any(low[0].isdigit() or low in self.sets["number-word"] for low in self.lows[verb.last : end]):
                continue
            lead = self.lows[max(0, verb.first - 4) : verb.first]
            of_others = lead[-1:] == ["to"] and any(
                w in self.sets["other-hand"] or w in ("him", "her", "them") for w in lead
            )
            if not of_others and (verb.first > first and lead[-1] not in ("then", "and", "please", "-", "*", "•")):
                continue
            last = min(len(self.lows), end + 4)
            behind = next(
                (j for j in range(verb.last, last) if self._length(then, j) and self.lows[j - 1] in _AND_THEN), None
            )
            if of_others or behind is not None:
                out.append(
                    (
                        verb.first,
                        self.bounds[self.clause_of[behind or end - 1]][1],
                        "planned",
                        Hit("cue", "ordered", verb.first, verb.last),
                    )
                )
        return out

    def named_for_later(self) -> list[Mark]:
        """ "Road test's after that", "alignment's next": an act only named, and when it will be."""
        out: list[Mark] = []
        for verb in self.verbs.values():
            at = verb.last
            if not self.lows[at - 1].endswith("'s"):
                continue
            if self.lows[at : at + 1] in (["next"], ["tomorrow"], ["later"], ["last"]) or (
                self.lows[at : at + 2]
                in (["after", "that"], ["after", "this"], ["still", "to"], ["to", "follow"], ["to", "come"])
            ):
                end = self.bounds[self.clause_of[min(at, len(self.lows) - 1)]][1]
                out.append((verb.first, end, "planned", Hit("cue", "named-for-later", at - 1, at + 1)))
        return out

    def _no_object(self, act: Hit) -> bool:
        """Whether nothing follows that the act was done to, so that it is of what was named before it."""
        after = self.lows[act.last] if act.last < len(self.lows) else "."
        return not after[0].isalnum() or after in _PAST_OBJECT or after in self.sets["subject"]

    def for_then(self) -> list[Mark]:
        """ "Rotate them then as well", "change the belt then too": what is to be done at a time just named."""
        out: list[Mark] = []
        for i, low in enumerate(self.lows):
            if low != "then":
                continue
            k = self.clause_of[i]
            after = self.lows[i + 1 : self.bounds[k][1]]
            if after and after[0].isalnum() and after[0] not in ("too", "as", "also"):
                continue
            if i == self.bounds[k][0]:  # cut off as an opener
                if not k or self.bounds[k][2]:
                    continue
                k -= 1
            first, last = self.bounds[k][0], i + 1
            act = next((self.verbs[j] for j in range(first, min(first + 3, i)) if j in self.verbs), None)
            if act is not None and self.base(act.first) is not None and not self.told(act.first):
                if "past" not in self.kinds(act):
                    out.append((first, last, "planned", Hit("cue", "advise-work", i, i + 1)))
        return out

    def needed(self) -> list[Mark]:
        """ "The belt needs replacing", "wants the front end aligned", "needs tires and an alignment": an act that is called
        for, and told of as no more than that."""
        out: list[Mark] = []
        for i, low in enumerate(self.lows):
            if low not in ("needs", "need", "wants", "want"):
                continue
            k = self.clause_of[i]
            end = self.bounds[k][1]
            act = next((self.verbs[j] for j in range(i + 1, end) if j in self.verbs), None)
            if act is None and end < len(self.lows) and not self.bounds[k + 1][2]:
                act = self.verbs.get(end)  # "needs the throttle body | cleaned and ..."
            if act is None:
                continue
            if not self.kinds(act).isdisjoint(("ing", "noun")) or ("past" in self.kinds(act) and self._no_object(act)):
                end = self.bounds[self.clause_of[act.first]][1]
                out.append((i, end, "planned", Hit("cue", "advise-work", i, i + 1)))
        return out

    def swallowed(self) -> list[Mark]:
        """ "Did it clean it": a misheard "didn't", for nobody says so. "I did put tires on it", in speech: "didn't" as likely as
        not, so nothing is recorded, and it is asked; not where a new part, a count or a reason is told with it."""
        out: list[Mark] = []
        for i in range(len(self.lows) - 1):
            if self.lows[i] != "did" or (i and self.lows[i - 1] in _ASKS):
                continue
            it = self.lows[i + 1] == "it"
            verb = self.base(i + 1 + it)
            if verb is None or self.tokens[verb.first].gap >= Gap.LINE:
                continue
            end = self.bounds[self.clause_of[verb.first]][1]
            if it and self.lows[i + 1 + it : i + 3 + it] != ["it"]:
                out.append((i, end, "not_done", Hit("cue", "did-not-misheard", i, i + 2)))
                continue
            act = self.lexicon.verbs[verb.id]
            sure = (
                any(w in _SURE for w in self.lows[max(0, i - 3) : i])
                or self._kept_word(i)
                or any(
                    w in _SUPPORTS or w in self.sets["new"] or w in self.sets["number-word"] or w[0].isdigit()
                    for w in self.lows[verb.last : end + 1]
                )
            )
            bare = i == self.bounds[self.clause_of[i]][0] and self.lows[verb.last : verb.last + 1] in (["it"], ["them"])
            if (self.spoken or bare) and not sure and not (act.looks or act.speaks or act.bare):
                out.append((i, end, "advice", Hit("cue", DOUBTFUL, i, i + 1)))
        return out

    def _kept_word(self, i: int) -> bool:
        """ "I said I'd do it and I did replace it"."""
        return "and" in self.lows[max(0, i - 2) : i] and any(w in _GIVEN for w in self.lows[max(0, i - 16) : i])

    def asked(self) -> list[Mark]:
        """ "Do I replace the sensor or the wiring", "he asked did I change the filter": a question tells of no work."""
        out: list[Mark] = []
        for i in range(len(self.lows) - 2):
            if self.lows[i] not in ("do", "did", "should", "shall") or self.lows[i + 1] not in _ASKED_OF:
                continue
            if self.base(i + 2) is None or (i and self.lows[i - 1] in _ANSWERED):
                continue
            out.append((i, self.bounds[self.clause_of[i + 2]][1], "advice", Hit("cue", "asked", i, i + 2)))
        return out

    def waiting(self, state: Sequence[State]) -> list[Mark]:
        """ "I'll take it out of service mode | once the battery's charged up": what a plan or a rule waits on has not happened."""
        out: list[Mark] = []
        for k in range(1, len(self.bounds)):
            first, last, starts = self.bounds[k]
            opens = self.lows[first] in _WAITS or self.lows[first : first + 3] == ["as", "soon", "as"]
            if starts or not opens or any(state[i] != "done" for i in range(first, last)):
                continue
            before = state[first - 1]
            soon = self.lows[first] in ("once", "as")
            if (
                soon
                and before == "done"
                and k > 1
                and not self.bounds[k - 1][2]
                and not self._past(*self.bounds[k - 1][:2])
            ):
                before = state[self.bounds[k - 1][0] - 1]  # "I'll take it | out of service mode | once it's charged"
            if before not in ("planned", "advice") or self._past(first, last):
                continue
            out.append((first, last, before, Hit("cue", "waits-on", first, first + 1)))
        return out

    def labelled(self, state: Sequence[State], cue: Sequence[Hit | None]) -> list[Mark]:
        """ "Front diff: not opened", "rear pads - declined": what a label names stands as all that is told of it."""
        out: list[Mark] = []
        for k in range(len(self.bounds) - 1):
            first, last, _ = self.bounds[k]
            if self.lows[last - 1] not in (":", "-", "–", "—") or last - first > _LABEL:
                continue
            if any(i in self.verbs for i in range(first, last)):
                continue
            j = k + 1
            while j < len(self.bounds) and not self.bounds[j][2]:
                j += 1
            told = {(state[i], cue[i]) for i in range(last, self.bounds[j - 1][1]) if self.lows[i][0].isalnum()}
            states = {s for s, _ in told}
            if len(states) == 1 and states <= {"planned", "not_done"}:
                out += [(first, last, s, hit) for s, hit in told if hit is not None][:1]
        return out

    def _past(self, first: int, last: int) -> bool:
        for i in range(first, last):
            if self.lows[i] in _PAST:
                return True
            before = self.lows[i - 1]
            if self.told(i) and before not in _BEING and not before.endswith(("'s", "'re")):
                return True
        return False

    def forbidden(self) -> list[int]:
        """Where an act is forbidden to anybody: "don't" and a bare verb, with nobody before them who does not ("don't
        spray stuff on it, replace it"). What is only not seen or heard ("don't see any leaks") is a finding."""
        out = []
        for i, low in enumerate(self.lows):
            if low not in ("don't", "dont", "do") or (low == "do" and self.lows[i + 1 : i + 2] != ["not"]):
                continue
            verb = self.base(i + 1 + (low == "do"))
            whose = self.lows[i - 1] if i and self.bounds[self.clause_of[i]][0] != i else ""
            free = not whose or not whose[0].isalnum() or whose in self.sets["opener"] or whose == "please"
            if verb is not None and free and not self.lexicon.verbs[verb.id].looks:
                out.append(i)
        return out

    def generic_subjects(self) -> list[int]:
        """Where "you" is anybody: the subject of a verb in its base form ("you replace the pump along with it"), or left out
        ("never loosen a rail pipe with the engine running")."""
        out = [
            i
            for i, low in enumerate(self.lows[:-1])
            if low == "never" and self._opens(i) and self.base(i + 1) is not None
        ]
        for i, low in enumerate(self.lows):
            if low != "you" or (
                i and self.lows[i - 1] in ("did", "do", "can", "could", "thank", "told", "tell", "see", "as", "if")
            ):
                continue
            for j in (i + 1, i + 2):
                verb = self.verbs.get(j)
                if verb is None:
                    continue
                if "base" in self.kinds(verb) and not (i + 1 < j and self.lows[i + 1] in ("can", "could", "did")):
                    out.append(i)
                break
        return out

    def _opens(self, i: int) -> bool:
        """Whether a sentence opens at i, or its bullet stands before it."""
        first, _, starts = self.bounds[self.clause_of[i]]
        return starts and (i == first or (i == first + 1 and self.lows[first] in self.sets["bullet"]))

    def was_another(self, k: int) -> bool:
        """ "I replaced the starter | no wait that was the other van": the clause says of what the one before it was told."""
        first, last, _ = self.bounds[k]
        turned = by_first_word(self.sets["takes-act-back"])
        at = first
        while self.lows[at] == "," and at < last:
            at += 1
        at += self._length(turned, at)
        lead = self.lows[at : min(at + 2, last)]
        return bool(lead) and (
            lead[0] == "that's"
            or (len(lead) == 2 and lead[0] in ("that", "it", "those") and lead[1] in ("was", "were"))
        )
