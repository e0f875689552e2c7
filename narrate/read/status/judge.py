"""Clauses -> clauses with a state: done, planned, not done, advice, elsewhere.

Cues decide, as trigger phrases do in clinical context algorithms: each has a state, a direction and a reach, all data
(status_cues.yaml). Where several meet, the one that takes work furthest from this job wins. A remark reaches on over
the clauses that follow until the speaker is back at this job.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from narrate.core.handoffs import Clause, Gap, Hit, Token
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.schema import Cue
from narrate.core.phrases import by_first_word
from narrate.core.records import State
from narrate.read.clauses.split import Cut
from narrate.read.status.lists import Lists
from narrate.read.status.others import other_hands, relative_behind
from narrate.read.status.turns import Turns

_RANK: dict[str, int] = {"done": 0, "planned": 1, "not_done": 2, "advice": 3, "elsewhere": 4, "retracted": 5}
_CARRY_CLAUSES = 3  # how many clauses an unpunctuated remark reaches over at the most
_CARRY_TOKENS = 32
_BIDS = frozenset("says say for wants want to".split())  # behind it, an act is asked for
_NOUN_REACH = 5  # tokens that "no ..." speaks of


@dataclass(frozen=True, slots=True)
class Standing:
    """What a narrative's tokens stand as: one state a token, the cue that decided, and which figures are no readings."""

    clauses: tuple[Clause, ...]
    clause_of: tuple[int, ...]
    state: tuple[State, ...]
    cue: tuple[Hit | None, ...]
    figure: tuple[bool, ...]  # a figure here is a specification or a rating
    hedged: tuple[bool, ...]
    kept: tuple[bool, ...]  # a thing here is said to stay


@dataclass
class _Sheet:
    state: list[State]
    cue: list[Hit | None]
    figure: list[bool]
    hedged: list[bool]
    kept: list[bool]
    kinds: dict[str, Cue] = field(default_factory=dict)

    def mark(self, first: int, last: int, state: State, hit: Hit) -> None:
        for i in range(first, last):
            if _RANK[state] > _RANK[self.state[i]]:
                self.state[i] = state
                self.cue[i] = hit


def judge_clauses(
    tokens: Sequence[Token],
    cuts: Sequence[Cut],
    hits: Sequence[Hit],
    lexicon: Lexicon,
    other_units: Sequence[tuple[int, int]] = (),
    days: Sequence[int] = (),
) -> Standing:
    """The state of every clause and token. `other_units` are token spans that name another machine than this one; `days`
    are the tokens at which a day is named."""
    n = len(tokens)
    bounds = [(c.at, cuts[k + 1].at if k + 1 < len(cuts) else n, c.sentence) for k, c in enumerate(cuts)]
    clause_of = [0] * n
    for k, (first, last, _) in enumerate(bounds):
        for i in range(first, last):
            clause_of[i] = k
    sheet = _Sheet(["done"] * n, [None] * n, [False] * n, [False] * n, [False] * n)
    verbs = {h.first: h for h in hits if h.layer == "verb"}
    nouns = {i for h in hits if h.layer in ("thing", "fluid") for i in range(h.first, h.last)}
    lists = Lists(tokens, bounds, hits, lexicon)
    turns = Turns(tokens, bounds, clause_of, verbs, lexicon)
    run = _Judge(tokens, bounds, clause_of, lexicon, sheet, verbs, nouns, lists, turns)
    cues = [(h, lexicon.cues[h.id]) for h in hits if h.layer == "cue"]
    for hit, cue in sorted(cues, key=lambda told: told[1].kind == "day"):
        run.apply(hit, cue)
    for mark in (*lists.under_headings(), *turns.marks(days)):
        sheet.mark(*mark)
    for first, act in other_hands(tokens, bounds, hits, lexicon):
        if sheet.state[act] == "done":  # "he might put one in" stays a plan
            run.apply_sentence(Hit("cue", "other-hands", first, first + 1), "elsewhere")
    for first in (*turns.forbidden(), *turns.generic_subjects()):
        run.apply_sentence(Hit("cue", "you-anybody", first, first + 1), "advice")
    for first, last in other_units:
        named = Hit("cue", "other-unit", first, last)
        run.apply_sentence(named, "elsewhere")
        if relative_behind(tokens, last):
            sheet.mark(*bounds[clause_of[last]][:2], "elsewhere", named)
    for mark in (*turns.waiting(sheet.state), *turns.labelled(sheet.state, sheet.cue)):
        sheet.mark(*mark)
    clauses = []
    sentence = -1
    for k, (first, last, starts) in enumerate(bounds):
        sentence += starts
        states = sheet.state[first:last]
        state: State = states[0] if states else "done"
        if states.count(state) < len(states):
            state = max(states, key=lambda s: (_RANK[s] > 0, states.count(s), _RANK[s]))
        if state != "done" and states.count(state) * 2 < len(states) and run.narrow(first, last, state):
            state = "done"
        decided = next((sheet.cue[i] for i in range(first, last) if sheet.state[i] == state and sheet.cue[i]), None)
        clauses.append(
            Clause(
                k,
                first,
                last,
                state,
                any(sheet.hedged[first:last]),
                (decided.first, decided.last) if decided else None,
                decided.id if decided else "told plainly",
                max(sentence, 0),
            )
        )
    return Standing(
        tuple(clauses),
        tuple(clause_of),
        tuple(sheet.state),
        tuple(sheet.cue),
        tuple(sheet.figure),
        tuple(sheet.hedged),
        tuple(sheet.kept),
    )


_TERMS = frozenset(
    "week month time visit service year tomorrow monday tuesday wednesday thursday friday saturday".split()
)
_OBJECTS = frozenset(("it", "them", "em", "'em", "those", "these"))


class _Judge:
    def __init__(
        self,
        tokens: Sequence[Token],
        bounds: list[tuple[int, int, bool]],
        clause_of: list[int],
        lexicon: Lexicon,
        sheet: _Sheet,
        verbs: dict[int, Hit],
        nouns: set[int],
        lists: Lists,
        turns: Turns,
    ) -> None:
        self.tokens, self.bounds, self.clause_of = tokens, bounds, clause_of
        self.lexicon, self.sheet, self.lists, self.turns = lexicon, sheet, lists, turns
        self.verbs, self.nouns = verbs, nouns
        self.lows = [t.low for t in tokens]
        self.reset = by_first_word(lexicon.word_sets["reset"])
        self.numbers = lexicon.word_sets["number-word"]
        self.first_person = lexicon.word_sets["first-person"]

    def apply(self, hit: Hit, cue: Cue) -> None:
        k = self.clause_of[hit.first]
        first, last, _ = self.bounds[k]
        if cue.state == "hedged":
            for i in range(first, last):
                self.sheet.hedged[i] = True
            return
        if cue.kind == "figure":
            self._figures(hit, k)
            return
        if cue.state == "reset" or (cue.kind == "day" and any(s != "done" for s in self.sheet.state[first:last])):
            return  # "booked in for june" is a plan
        state: State = cue.state
        if self.lows[hit.last - 2 : hit.last] in (["me", "to"], ["us", "to"]) and self._did_so(hit.last):
            return  # "asked me to replace the battery and i did"
        if cue.kind == "keep":
            self._keep(hit, state, k)
        elif cue.kind == "noun":
            self._noun(hit, state, last)
        elif cue.direction == "forward" and self._closes(hit, last, first):
            self.sheet.mark(first, last, state, hit)
        elif cue.direction == "forward":
            self.sheet.mark(hit.first, last, state, hit)
            if all(not low[0].isalnum() for low in (*self.lows[first : hit.first], *self.lows[hit.last : last])):
                self.sheet.mark(self.lists.items_before(k, hit), last, state, hit)
            k = self._object_clause(hit, state, k)
            if cue.kind != "fronted":
                self.sheet.mark(hit.first, self.lists.items_after(k), state, hit)
        elif cue.direction == "backward":
            self._backward(hit, state, k)
        elif cue.direction == "sentence":
            self.apply_sentence(hit, state)
        else:
            if cue.direction == "both" and self.turns.answers_label(hit, k, self.bounds):
                first = self.bounds[k - 1][0]
            self.sheet.mark(first, last, state, hit)

    def _did_so(self, at: int) -> bool:
        behind = range(at, min(at + _CARRY_TOKENS // 2, len(self.lows) - 1))
        return any(self.lows[i] in self.first_person and self.lows[i + 1] == "did" for i in behind)

    def _noun(self, hit: Hit, state: State, last: int) -> None:
        """The act or thing named next, and no more: "no dye added", "without a spring compressor"."""
        if hit.last < len(self.lows) and (self.lows[hit.last] in self.numbers or self.lows[hit.last][:1].isdigit()):
            return  # "fifty seven no forty seven": a correction
        if (
            self.lows[hit.first] == "no"
            and self.lows[hit.last : hit.last + 1] == ["."]
            and self.lows[hit.last + 1 : hit.last + 2][:1]
            and (self.lows[hit.last + 1][0].isdigit())
        ):
            return  # "No. 2 coil"
        end = min(last, hit.last + _NOUN_REACH)
        fresh = self.lexicon.word_sets["new"] | self.lexicon.word_sets["rebuilt"]
        for i in range(hit.last, end):
            if i > hit.last + 1 and self.lows[i] in fresh and self.lows[i - 1] in self.numbers:
                end = i - 1  # "no output | one rebuilt alternator in"
                break
            if self.lows[i] in (",", "but", "and", "so") or (
                i > hit.last
                and i in self.verbs
                and i - 1 in self.nouns
                and not self.lows[i].endswith(("ed", "en", "ne"))
            ):
                end = i
                break
        self.sheet.mark(self._undone(hit), end, state, hit)

    def _undone(self, hit: Hit) -> int:
        """ "Bled nothing", "replaced nothing else": the act whose object the word is, where one stands before it."""
        begin = self.bounds[self.clause_of[hit.first]][0]
        if self.lows[hit.first] in ("nothing", "none"):
            for first in range(max(begin, hit.first - 3), hit.first):
                verb = self.verbs.get(first)
                if verb is not None and verb.last == hit.first and not self.lexicon.verbs[verb.id].looks:
                    return first
        return hit.first

    def _keep(self, hit: Hit, state: State, k: int) -> None:
        """ "The cam seals were dry so those stayed": the thing named in this clause, or in the one before it."""
        first, last, starts = self.bounds[k]
        has_thing = any(i in self.nouns for i in range(first, last))
        if not has_thing and k and not starts:
            first = self.bounds[k - 1][0]
        for i in range(first, last):
            self.sheet.kept[i] = True
        if state != "done":
            self.sheet.mark(self.bounds[k][0], last, state, hit)

    def _closes(self, hit: Hit, last: int, first: int) -> bool:
        """A participle behind its subject, at the end of the statement: "new rack quoted"."""
        ends = all(not low[0].isalnum() for low in self.lows[hit.last : last])
        return ends and self.lows[hit.last - 1].endswith("ed") and any(i in self.nouns for i in range(first, hit.first))

    def _object_clause(self, hit: Hit, state: State, k: int) -> int:
        """A cue whose clause holds no object speaks of the next one: "we still have to | align it", "quoted them | a
        new fan". The clause of its object."""
        first, last, _ = self.bounds[k]
        if k + 1 >= len(self.bounds) or self.bounds[k + 1][2]:
            return k
        if any(i in self.nouns or i in self.verbs for i in range(hit.last, last)):
            return k
        told = any(self.lows[i] in _OBJECTS or i in self.nouns for i in range(first, hit.first))
        if told and self.lows[hit.last - 1] in _TERMS:
            return k  # "he wants them done next week | wiper blades replaced"
        begin, end, _ = self.bounds[k + 1]
        if self.tokens[begin].gap > Gap.PAUSE or self.lows[begin] in ("so", "but", "then", "and"):
            return k
        if begin in self.verbs and self.turns.told(begin):
            return k  # "customer approved | replaced the alternator"
        sets = self.lexicon.word_sets
        if hit.last >= last or any(self.lows[begin] in sets[name] for name in ("determiner", "new", "number-word")):
            self.sheet.mark(begin, end, state, hit)
            return k + 1
        return k

    def _backward(self, hit: Hit, state: State, k: int) -> None:
        first = self.bounds[k][0]
        behind_it = self.lows[hit.last] if hit.last < self.bounds[k][1] else ""
        day = behind_it.endswith(("st", "nd", "rd", "th"))  # "booked Thurs 19th"
        if state == "planned" and ((behind_it[:1].isdigit() and not day) or behind_it in self.numbers):
            return  # "the left needed 35 g": so much it took
        content = any(i in self.nouns or i in self.verbs for i in range(first, hit.first))
        behind = any(i in self.nouns or i in self.verbs for i in range(hit.last, self.bounds[k][1]))
        if not content and behind and state == "not_done":
            return  # "customer declined the thermostat": what it speaks of follows
        if not content and self._leads_on(hit, k):
            return  # "next time | we'll do the pump"
        if not content and hit.first - first <= 3 and k and not self.bounds[k][2]:
            first = self.bounds[k - 1][0]
        self.sheet.mark(first, hit.last, state, hit)

    def _leads_on(self, hit: Hit, k: int) -> bool:
        """Whether a subject follows a cue of time at once, in the same breath."""
        at = hit.last
        follows = at < len(self.lows) and self.lows[at].partition("'")[0] in ("i", "we")
        return follows and (at < self.bounds[k][1] or not self.bounds[k + 1][2])

    def _figures(self, hit: Hit, k: int) -> None:
        before = self.lows[hit.first - 1] if hit.first else ""
        if self.lows[hit.first] == "min" and (before[:1].isdigit() or before in self.numbers):
            return  # "45 min to 29.2": minutes
        first, last, _ = self.bounds[k]
        start = first if self.lows[hit.first] in ("is", "are", "was") else hit.first  # "70 ft-lb is the book figure"
        for i in range(start, last):
            self.sheet.figure[i] = True
        at = hit.last + (self.lows[hit.last : hit.last + 1] in (["to"], ["you"], ["we"]))
        verb = self.verbs.get(at)
        if verb is not None and not self.turns.told(at) and self.lows[hit.last - 1] in _BIDS:
            self.sheet.mark(
                hit.first, self.bounds[self.clause_of[at]][1], "advice", hit
            )  # "book says replace the bolts"
        ends = hit.last >= last
        while k + 1 < len(self.bounds) and (
            (ends and not self.bounds[k + 1][2]) or self.turns.adds_stage(*self.bounds[k + 1][:2])
        ):
            k, ends = k + 1, False  # "spec is | 45 Nm | plus 90 degrees"
            self.sheet.figure[slice(*self.bounds[k][:2])] = [True] * (self.bounds[k][1] - self.bounds[k][0])

    def apply_sentence(self, hit: Hit, state: State) -> None:
        """This clause and what follows of the same thought."""
        k = self.clause_of[hit.first]
        first, last, _ = self.bounds[k]
        start = first
        if state == "elsewhere" and k and not self.bounds[k][2] and hit.first - first <= 1 and hit.last >= last - 1:
            start = self.bounds[k - 1][0]  # "they put a pump in | last year"
        if state in ("elsewhere", "advice") and k and not self.bounds[k][2] and self._leads_in(k):
            start = self.bounds[k - 1][0]
        if state == "elsewhere" and k and self.turns.was_another(k):
            start = self.bounds[k - 1][0]
        if state == "advice" and k and not self.bounds[k][2] and self.lows[self.bounds[k - 1][0]] == "to":
            start = self.bounds[k - 1][0]  # "to change the bulb | you pull the bumper"
        if self._hangs_back(hit, k):
            self.sheet.mark(self.bounds[k - 1][0], last, state, hit)
            return
        self.sheet.mark(start, last, state, hit)
        fronted = state == "elsewhere" and self._fronts(first, last, hit)
        carried = 0
        theirs = not any(low in self.first_person for low in self.lows[first:last])
        for j in range(k + 1, min(k + 1 + 8, len(self.bounds))):
            begin, end, starts = self.bounds[j]
            if starts and self.tokens[begin].gap >= Gap.LINE:
                break
            if starts:
                break
            comma = self.lows[begin - 1] in (",", "(", ":", ";", "—", "–")
            carried += 1
            if not comma and (
                carried > _CARRY_CLAUSES
                or begin - last > _CARRY_TOKENS
                or (self._back(begin, end, state, carried, theirs) and not (fronted and carried == 1))
            ):
                break
            if comma and self._back(begin, end, state, carried, theirs) and self.lows[begin] in ("but", "so", "now"):
                break
            self.sheet.mark(begin, end, state, hit)

    def _hangs_back(self, hit: Hit, k: int) -> bool:
        """Whether an "if" that opens its clause is of the one before it: "we can send it out | if she wants"."""
        cue = self.lexicon.cues.get(hit.id)
        if cue is None or cue.kind != "conditional" or not k or self.bounds[k][2] or hit.first != self.bounds[k][0]:
            return False
        return any(low in self.lexicon.word_sets["modal"] for low in self.lows[self.bounds[k - 1][0] : hit.first])

    def _fronts(self, first: int, last: int, hit: Hit) -> bool:
        """Whether a clause only says on which unit the next one happened: "on the other car | i replaced the starter"."""
        sets, cue = self.lexicon.word_sets, self.lexicon.cues.get(hit.id)
        if cue is None or cue.kind == "day" or any(i in self.verbs for i in range(first, last)):
            return False
        return last - hit.last <= 2 and any(self.lows[i] in sets["preposition"] for i in range(first, hit.first))

    def _leads_in(self, k: int) -> bool:
        """Whether the clause before only names what this one is about: a thing or a machine, and no verb of work."""
        first, last, _ = self.bounds[k - 1]
        return (
            last - first <= 7
            and not any(i in self.verbs for i in range(first, last))
            and self.lows[self.bounds[k][0]] in ("that", "that's", "those", "which", "who", "he", "she", "they")
        )

    def _back(self, begin: int, end: int, state: State, carried: int, theirs: bool) -> bool:
        """Whether the clause shows the speaker at this job again."""
        at = begin + (self.lows[begin] == "and" and begin + 1 < end)
        resets = self.reset.get(self.lows[at], ())
        if any(tuple(self.lows[at : at + size]) in resets for size in (3, 2, 1)):
            return True
        if self.tokens[begin].gap == Gap.PAUSE and carried > 1:
            return True
        if state == "elsewhere" and carried <= 2:
            return theirs and self.lows[at] in ("i", "we")
        if self.lows[at] in self.first_person or self.turns.told(begin):
            return True
        return state in ("planned", "advice") and any(  # "the thermostat was replaced"
            self.lows[i - 1] in ("was", "were", "got", "been") and self.turns.told(i) for i in range(begin + 2, end)
        )

    def narrow(self, first: int, last: int, state: State) -> bool:
        """Whether a state covers only a few words of the clause, so that the clause as a whole is not in it."""
        hit = next((self.sheet.cue[i] for i in range(first, last) if self.sheet.state[i] == state), None)
        return hit is not None and hit.id in self.lexicon.cues and self.lexicon.cues[hit.id].kind == "noun"
