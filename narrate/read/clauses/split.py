"""Tokens -> clauses: runs that each tell one thing.

Punctuated text is cut at its own marks. Speech with none is cut where a listener would: at words that open a
statement, at a subject with its verb, at a second verb, at "new ..." and "no ..." after something complete, and at
caption pauses that leave nothing hanging.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from narrate.core.handoffs import Gap, Hit, Token
from narrate.core.lexicon.lexicon import Lexicon

_NEGATIVE = frozenset(
    ("no", "nothing", "didn't", "didnt", "don't", "dont", "haven't", "havent", "wasn't", "never", "not")
)
_LEADS_SUBJECT = frozenset(("the", "my", "his", "her", "their", "our", "its", "both", "all", "a", "an"))
_NO_WAIT = frozenset(("wait", "sorry", "make", "actually", "that's", "it's", "scratch", "i", "not"))


@dataclass(frozen=True, slots=True)
class Cut:
    """Where a clause begins, and whether a sentence does too."""

    at: int
    sentence: bool


def cut_clauses(tokens: Sequence[Token], hits: Sequence[Hit], lexicon: Lexicon) -> list[Cut]:
    """The beginnings of all clauses, in order; the first is token 0. No tokens, no clauses."""
    return _Cutter(tokens, hits, lexicon).run() if tokens else []


class _Cutter:
    _did = frozenset(("did", "didn't", "didnt", "does", "do", "don't", "dont"))
    _leads_verb = frozenset(
        ("to", "not", "never", "you", "i", "we", "they", "will", "would", "can", "could", "should", "i'll", "we'll")
    )

    def __init__(self, tokens: Sequence[Token], hits: Sequence[Hit], lexicon: Lexicon) -> None:
        self.tokens = tokens
        self.lows = [t.low for t in tokens]
        sets = lexicon.word_sets
        self.sets = sets
        corrections = {tuple(w.split()) for w in sets["correction"] if " " in w}
        self.openers = {tuple(w.split()) for w in sets["opener"]}
        self.first_of_opener = {words[0] for words in self.openers}
        self.corrected = _covered(self.lows, corrections)
        self.noun_at: list[bool] = [False] * len(tokens)
        self.verb_start: dict[int, Hit] = {}
        for hit in hits:
            if hit.layer in ("thing", "fluid"):
                for i in range(hit.first, hit.last):
                    self.noun_at[i] = True
        for hit in hits:
            if hit.layer == "verb" and not self.noun_at[hit.first]:
                self.verb_start.setdefault(hit.first, hit)
        self.in_verb = {i for h in self.verb_start.values() for i in range(h.first, h.last)}
        self.finite = [self._finite(i, lexicon) for i in range(len(tokens))]
        self.verbal = [
            f or self.lows[i] in self._did or (i in self.verb_start and i > 0 and self.lows[i - 1] in self._leads_verb)
            for i, f in enumerate(self.finite)
        ]
        for hit in hits:  # "customer complains of": a verb, whatever the words
            if hit.layer == "finding" and hit.id == "complaint":
                self.verbal[hit.last - 1] = True
        self.after_quote = {h.last for h in hits if h.layer == "finding" and h.id == "unquote"}
        self.in_phrase = list(self.noun_at)
        for hit in hits:
            if hit.layer == "reading" and not any(
                self.finite[i] or i in self.verb_start for i in range(hit.first, hit.last)
            ):
                for i in range(hit.first, hit.last):
                    self.in_phrase[i] = True
        self.inside_cue = {i for h in hits if h.layer in ("cue", "verb") for i in range(h.first + 1, h.last)}
        self.numbers = sets["number-word"]
        self.remarks = {
            h.first
            for h in hits
            if h.layer == "cue"
            and lexicon.cues[h.id].direction == "sentence"
            and lexicon.cues[h.id].state == "advice"
            and h.last - h.first > 1
        }

    def _finite(self, i: int, lexicon: Lexicon) -> bool:
        """Whether a finite verb (an act told, or a state verb) starts at i."""
        if self.noun_at[i]:
            return False
        low = self.lows[i]
        before = self.lows[i - 1] if i else ""
        if before in ("to", "the", "a", "an", "of", "my", "his", "her", "new", "old"):
            return False
        if low in self.sets["state-verb"]:
            return True
        hit = self.verb_start.get(i)
        if hit is None or low.endswith("ing"):
            return False
        kinds = lexicon.forms.get(" ".join(t.key for t in self.tokens[hit.first : hit.last]), frozenset())
        return "past" in kinds or low in self.sets["same-past"]

    def run(self) -> list[Cut]:
        cuts = [Cut(0, True)]
        has_verb = self.verbal[0]
        for i in range(1, len(self.tokens)):
            here = cuts[-1].at
            if self._sentence(i):
                cuts.append(Cut(i, True))
                has_verb = self.verbal[i]
                continue
            start = self._clause(i, here, has_verb)
            if start is not None and start > here:
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
            and i - here > 1
        ):
            return i
        if i in self.after_quote:
            return i
        if i in self.inside_cue or i in self.corrected:
            return None
        if self._opens(i, last):
            return i
        if low in ("and", "or") and self._complete(here, i) and self._conjoins(i):
            return i
        if i - here >= 2 and last not in self.sets["preposition"] and last not in self.sets["dangling"]:
            if low in self.sets["subject"] and self._subject(i):
                return i
            if low in _NEGATIVE and not (low == "no" and self._next(i) in _NO_WAIT) and low != "not":
                return i
            if low == "did" and self._next(i) == "not":
                return i
            if self._new_subject(i):
                return i
            if i in self.remarks and last not in self.sets["subject"] and last not in self.sets["auxiliary"]:
                return i
        if has_verb and i - here >= 2:
            if low in self.sets["new"] or low in self.sets["rebuilt"]:
                start = self._phrase_start(i, here)
                if (
                    start > here + 1
                    and self.lows[start - 1] not in self.sets["dangling"] | self.sets["preposition"]
                    and start - 1 not in self.in_verb
                ):
                    return start
            if (
                self.finite[i]
                and not self._causative(i, here)
                and last not in self.sets["auxiliary"]
                and last not in ("to", "not", "and", "just", "also", "then")
            ):
                start = self._phrase_start(i, here) if low in self.sets["state-verb"] else i
                if self._subject_of(i, here):
                    start = min(start, self._subject_of(i, here) or start)
                if start > here + 1 and self.lows[start - 1] not in self.sets["dangling"] | self.sets["preposition"]:
                    return start
        return None

    def _next(self, i: int, by: int = 1) -> str:
        return self.lows[i + by] if i + by < len(self.lows) else ""

    def _opens(self, i: int, last: str) -> bool:
        low = self.lows[i]
        if low in self.sets["fine"] and (last in self.sets["auxiliary"] or self.noun_at[i - 1]):
            return False  # "the hose was okay": a finding, no opener
        if last in self.sets["fine"] and i >= 2 and self._was_predicate(i - 1) and low not in self.sets["preposition"]:
            return True
        if last in ("or", "right", "just", "all", "even", "as", "not", "every", "ever") and low in (
            "so",
            "now",
            "then",
            "as",
            "since",
            "when",
            "once",
        ):
            return False
        if low == "so" and self._next(i) in ("that's",) and last in ("is",):
            return False
        if low in ("after", "before", "until", "since") and (
            self._next(i)[:1].isdigit() or self._next(i) in (".", ",", ":", "")
        ):
            return False
        if low == "so" and self._next(i) in ("much", "bad", "far", "many", "hard"):
            return False
        if low in ("who", "which", "where") and last in self.sets["preposition"]:
            return False
        return low in self.first_of_opener and any(tuple(self.lows[i : i + size]) in self.openers for size in (3, 2, 1))

    def _dash(self, i: int) -> bool:
        """Whether the hyphen at i stands between words as a dash does, and is no minus or range."""
        if i < 1 or self.tokens[i].gap != Gap.SPACE or i + 1 >= len(self.tokens):
            return False
        around = (self.lows[i - 1], self.lows[i + 1])
        return self.tokens[i + 1].gap == Gap.SPACE and all(w[0].isalpha() and w not in self.numbers for w in around)

    def _complete(self, here: int, i: int) -> bool:
        """Whether the words before the "and" at i tell anything yet: "inner and outer tie rods" is one name."""
        return any(self.noun_at[j] or self.verbal[j] or j in self.verb_start for j in range(here, i)) or i - here > 3

    def _conjoins(self, i: int) -> bool:
        """Whether "and" at i joins statements, not nouns: a verb, a subject or something new follows soon."""
        nxt = self._next(i)
        if nxt in self.numbers or (nxt in ("a", "an") and self._next(i, 2) in ("half", "quarter", "third")):
            return False  # two hundred and ninety, a gallon and a half
        if nxt.isdigit() and i + 2 in self.verb_start:
            return False  # "glow plugs 2 and 4 replaced"
        if nxt in self.sets["subject"] or nxt in self.sets["new"] or nxt in _NEGATIVE or nxt in ("then", "did"):
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

    def _causative(self, i: int, here: int) -> bool:
        """ "had the belt replaced", "wants it done": one statement, whoever does the work."""
        if i not in self.verb_start:
            return False
        for j in range(i - 1, max(here, i - 6) - 1, -1):
            if self.lows[j] in (
                "have",
                "has",
                "had",
                "having",
                "get",
                "want",
                "wants",
                "wanted",
                "needs",
                "need",
                "needed",
            ):
                return True
            if self.finite[j]:
                return False
        return False

    def _was_predicate(self, i: int) -> bool:
        return self.lows[i - 1] in self.sets["auxiliary"] or self.noun_at[i - 1]

    def _subject(self, i: int) -> bool:
        low, nxt = self.lows[i], self._next(i)
        if low in ("it", "that", "those", "these", "this", "you") and (self.finite[i - 1] or i - 1 in self.verb_start):
            return False  # "put it on": the object
        if "'" in low:
            return True
        if low in ("i", "we", "he", "she", "they"):
            return True
        if nxt in self.sets["auxiliary"] or (i + 1 < len(self.finite) and self.finite[i + 1]):
            return True
        return low == "you" and self.lows[i - 1] not in ("told", "tell", "thank", "did", "can", "do", "see", "and")

    def _phrase_start(self, i: int, here: int) -> int:
        """The first word of the noun phrase that ends straight before, or begins at, token i."""
        j = i
        while j - 1 > here:
            word = self.lows[j - 1]
            if word in self.sets["determiner"] or word in self.sets["new"]:
                j -= 1
                if word in ("a", "an", "the", "this", "that", "these", "those", "my", "his", "her"):
                    break
                continue
            if word in self.sets["old"] and j - 2 >= here and self.lows[j - 2] in self.sets["auxiliary"]:
                break  # "were burnt | new ones in": a predicate
            if (
                self.in_phrase[j - 1]
                or word in self.sets["old"]
                or word.isdigit()
                or word in ("one", "two", "three", "four", "five", "six", "eight", "side", "of")
            ):
                j -= 1
                continue
            break
        return j

    def _subject_of(self, i: int, here: int) -> int | None:
        """Where the subject of the state verb at i begins, if it stands straight before it."""
        if self.lows[i] not in self.sets["state-verb"]:
            return None
        start = self._phrase_start(i, here)
        word = self.lows[i - 1]
        if (
            start == i
            and word.replace("'", "").isalpha()
            and i - 1 not in self.verb_start
            and not any(
                word in self.sets[name]
                for name in (
                    "preposition",
                    "auxiliary",
                    "subject",
                    "particle",
                    "dangling",
                    "fine",
                    "opener",
                    "state-verb",
                )
            )
        ):  # "identifier says", "the owner had": a subject that the lexicon does not know
            return i - 2 if i - 2 > here and self.lows[i - 2] in self.sets["determiner"] else i - 1
        return start if start < i else None

    def _new_subject(self, i: int) -> bool:
        """Whether a thing named anew straight behind another is the subject of what follows: "a new gasket | the left
        one was fine". Two things side by side, and a verb soon behind the second, are no one statement."""
        if self.lows[i] not in _LEADS_SUBJECT or not self.noun_at[i - 1] or self.tokens[i].gap >= Gap.LINE:
            return False
        for j in range(i + 1, min(i + 6, len(self.lows))):
            low = self.lows[j]
            if self.tokens[j].gap >= Gap.LINE or low in self.sets["clause-mark"] or low in self.sets["sentence-end"]:
                return False
            if low in self.sets["preposition"] or low in ("and", "or", "but", "to"):
                return False
            if low in self.sets["state-verb"] and j > i + 1:
                return True
        return False


def _covered(lows: Sequence[str], phrases: Collection[tuple[str, ...]]) -> set[int]:
    """The words that stand in a phrase which takes back what was said last: they begin no statement."""
    begin = {words[0] for words in phrases}
    return {
        i
        for at, low in enumerate(lows)
        if low in begin
        for size in (2, 3)
        if tuple(lows[at : at + size]) in phrases
        for i in range(at, min(at + size, len(lows)))
    }
