"""What stands where in the words that clauses are cut from: verbs, names, noun phrases, and what goes with what."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from narrate.core.handoffs import Gap, Hit, Token
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.phrases import by_first_word

LEADS_SUBJECT = frozenset(("the", "my", "his", "her", "their", "our", "its", "both", "all", "a", "an"))
PARTICLES = frozenset(("on", "off", "in", "out", "up", "down", "over", "through", "back"))


_VALUED = frozenset(("to", "at", "from", "is", "was", "are", "were", "read", "reads", "showed"))  # a value follows
_AWAY = frozenset(("off", "out", "apart", "away", "back", "down"))  # what is new is no object of these


class Shapes:
    """The words of one narrative as a listener takes them in, before anything is cut."""

    _did = frozenset(("did", "didn't", "didnt", "does", "do", "don't", "dont"))
    _leads_verb = frozenset(
        ("to", "not", "never", "you", "i", "we", "they", "will", "would", "can", "could", "should", "i'll", "we'll")
    )

    def __init__(self, tokens: Sequence[Token], hits: Sequence[Hit], lexicon: Lexicon) -> None:
        self.tokens = tokens
        self.lexicon = lexicon
        self.lows = [t.low for t in tokens]
        sets = lexicon.word_sets
        self.sets = sets
        self.openers = by_first_word(sets["opener"])
        self.corrected = _covered(self.lows, by_first_word(sets["correction"]))
        self.noun_at: list[bool] = [False] * len(tokens)
        self.verb_start: dict[int, Hit] = {}
        for hit in hits:
            if hit.layer in ("thing", "fluid"):
                for i in range(hit.first, hit.last):
                    self.noun_at[i] = True
        for hit in hits:
            if hit.layer == "verb" and not self.noun_at[hit.first] and not self._a_noun(hit, lexicon):
                self.verb_start.setdefault(hit.first, hit)
        self.in_verb = {i for h in self.verb_start.values() for i in range(h.first, h.last)}
        self.verb_of = {i: h.first for h in self.verb_start.values() for i in range(h.first, h.last)}
        told, puts = sets["state-verb"], sets["same-past"]
        self.finite = [
            (i in self.verb_start or low in told or low in puts) and self._finite(i, lexicon)
            for i, low in enumerate(self.lows)
        ]
        self.verbal = [
            f or self.lows[i] in self._did or (i in self.verb_start and i > 0 and self.lows[i - 1] in self._leads_verb)
            for i, f in enumerate(self.finite)
        ]
        for i, low in enumerate(self.lows):  # "you're", "i'd": their verb is in them
            if "'" in low and low in sets["subject"]:
                self.verbal[i] = True
        self.names = {h.first for h in hits if h.layer in ("thing", "fluid")}
        self.told_by_cue: set[int] = set()
        for hit in hits:  # "customer complains of": a verb, whatever the words
            if hit.layer == "finding" and hit.id == "complaint":
                self.verbal[hit.last - 1] = True
            if hit.layer == "cue" and not self.noun_at[hit.first]:  # "customer approved", "new rack quoted"
                past = self.lows[hit.last - 1].endswith("ed") or self.lows[hit.last - 1] in (
                    "forgot",
                    "refuses",
                    "wants",
                )
                self.verbal[hit.last - 1] = self.verbal[hit.last - 1] or past
                if past and hit.last - hit.first == 1 and self.lows[hit.first] not in sets["leaving-out"]:
                    self.told_by_cue.add(hit.first)
        self.after_fault = {  # "the bearing is rough": the predicate closes what was told
            h.last
            for h in hits
            if h.layer == "finding" and h.id == "fault" and h.first and self.lows[h.first - 1] in sets["auxiliary"]
        }
        self.in_fault = {i for h in hits if h.layer == "finding" and h.id == "fault" for i in range(h.first, h.last)}
        self.after_complaint = {h.last for h in hits if h.layer == "finding" and h.id == "complaint"}
        for hit in hits:  # "the bearing growls": as good as a verb
            if hit.layer == "finding" and hit.id == "fault" and hit.first and self.noun_at[hit.first - 1]:
                self.verbal[hit.last - 1] = True
        self.after_wish = self.after_complaint | {
            h.last for h in hits if h.layer == "cue" and lexicon.cues[h.id].direction == "forward"
        }
        self.asides = {  # "replaced the pump | forgot to ...", "next time | we'll ...": they begin a statement
            h.first
            for h in hits
            if h.layer == "cue"
            and (
                (self.lows[h.first] in sets["leaving-out"] and self.noun_at[h.first - 1])
                or (
                    self.lows[h.first] in ("next", "tomorrow", "tonight", "later", "friday", "monday", "part")
                    and h.last < len(tokens)
                    and self.lows[h.last] in ("i", "we", "i'll", "we'll", "i'm", "we're")
                )
            )
        }
        self.after_quote = {h.last for h in hits if h.layer == "finding" and h.id == "unquote"}
        self.in_phrase = list(self.noun_at)
        for hit in hits:
            if hit.layer == "reading" and not any(
                self.finite[i] or i in self.verb_start for i in range(hit.first, hit.last)
            ):
                for i in range(hit.first, hit.last):
                    self.in_phrase[i] = True
        self.in_place = [False] * len(tokens)
        for hit in hits:
            if hit.layer == "place":
                for i in range(hit.first, hit.last):
                    self.in_place[i] = True
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

    def _kinds(self, hit: Hit, lexicon: Lexicon) -> frozenset[str]:
        return lexicon.forms_of(self.tokens, hit)

    def _a_noun(self, hit: Hit, lexicon: Lexicon) -> bool:
        """ "Hung up with a hook": behind an article, a word that is also a verb names a thing."""
        if not hit.first:
            return False
        before = self.lows[hit.first - 1]
        counted = before in lexicon.word_sets["number-word"] or before in (
            "mil",
            "mm",
            "millimeter",
            "millimetre",
            "hex",
        )
        if counted and self.lows[hit.first].endswith("s"):
            return self._kinds(hit, lexicon) == {"s"}  # "two ten mil bolts up top", "two clips"
        if before not in ("a", "an", "the") or hit.last - hit.first > 1:
            return False
        kinds = self._kinds(hit, lexicon)
        return bool(kinds) and kinds <= {"base", "s"}

    def _finite(self, i: int, lexicon: Lexicon) -> bool:
        """Whether a finite verb (an act told, or a state verb) starts at i."""
        if self.noun_at[i]:
            return False
        low, hit = self.lows[i], self.verb_start.get(i)
        told = low in self.sets["state-verb"]
        puts = low in self.sets["same-past"] and self._next(i) in ("it", "them", "her", "em")
        if hit is None and not told and not puts:
            return False
        before = self.lows[i - 1] if i else ""
        if before in ("to", "the", "a", "an", "of", "my", "his", "her", "new", "old"):
            return False
        if told:
            return True
        if puts and not before.endswith("'ll"):  # "it clunks | put it up on the hoist"
            return before not in self.sets["auxiliary"] and before not in self.sets["subject"]
        if hit is None or low.endswith("ing") or (low in PARTICLES and lexicon.verbs[hit.id].loose):
            return False  # "a weep out of the crimp"
        kinds = self._kinds(hit, lexicon)
        plain = "past" not in kinds and not low.endswith("s")
        if plain and lexicon.verbs[hit.id].fits and i and self.noun_at[i - 1] and hit.last < len(self.lows):
            after = self.lows[hit.last]  # "checked the battery | replace alternator"
            return self.noun_at[hit.last] or after in self.sets["new"] or after in ("the", "a", "an")
        return "past" in kinds or low in self.sets["same-past"] or (kinds == {"s"} and before in self.sets["subject"])

    def _finite_next(self, i: int) -> bool:
        return i + 1 < len(self.finite) and self.finite[i + 1]

    def _next(self, i: int, by: int = 1) -> str:
        return self.lows[i + by] if i + by < len(self.lows) else ""

    def _complete(self, here: int, i: int) -> bool:
        """Whether the words before the "and" at i tell anything yet: "inner and outer tie rods" is one name."""
        return any(self.noun_at[j] or self.verbal[j] or j in self.verb_start for j in range(here, i)) or i - here > 3

    def _may_end(self, start: int, here: int) -> bool:
        """Whether a statement may end straight before `start`: on no word that leaves something hanging, unless that is
        a particle of its verb ("the light is on", "the fan came on")."""
        last = self.lows[start - 1]
        if not self._hangs(start, here):
            return True
        before = self.lows[start - 2] if start - 2 >= here else ""
        told = start - 3 >= here and before.endswith(("ed", "en")) and self.lows[start - 3] in self.sets["auxiliary"]
        if last in _AWAY and start - 2 >= here and (self.verbal[start - 2] or self.noun_at[start - 2]):
            return True  # "old gaskets scraped off | new pump"
        return last in PARTICLES and (told or before in self.sets["state-verb"] or before.endswith("ing"))

    def _hangs(self, i: int, here: int) -> bool:
        """Whether the word before i leaves something hanging. A number does ("four | bolts"), but not behind "to", "at" or
        "is" where what follows can be no unit of it: "the wheels to a hundred | bled the brakes"."""
        last = self.lows[i - 1]
        if last not in self.sets["dangling"] and last not in self.sets["preposition"]:
            return False
        if last not in self.numbers or self.tokens[i].gap == Gap.GLUED:
            return True
        begins = self.finite[i] or any(self.lows[i] in self.sets[name] for name in ("other-hand", "subject"))
        if not begins and self.lows[i] not in LEADS_SUBJECT:
            return True
        j = i - 1
        while j > here and (self.lows[j - 1] in self.numbers or self.lows[j - 1] in ("a", "and", "about")):
            j -= 1
        return j <= here or self.lows[j - 1] not in _VALUED

    def _takes(self, start: int, here: int) -> bool:
        """Whether what is new at `start` is the object of the words before it: "replaced | it needs | she declined"; not
        where they are a participle with its own subject ("new rack quoted | new battery fitted")."""
        last = self.lows[start - 1]
        if last.endswith("ed") and start - 2 >= here and self.noun_at[start - 2]:
            return False
        if last in PARTICLES and self.lows[self.verb_of.get(start - 1, start - 1)] in self.sets["state-verb"]:
            return False  # "the old belt came off | one new belt"
        verb = self.verb_of.get(start - 1, -1)
        if verb - 2 >= here and self.lows[verb - 1] == "to" and self.noun_at[verb - 2]:
            return False  # "no separate drier to change | four new o-rings": its object stands before it
        doing = last.endswith("ing") and start - 2 >= here and self.verbal[start - 2]  # "they're sending a new one"
        hangs = last in ("already", "also", "only", "just", "still")
        return doing or hangs or start - 1 in self.in_verb or start in self.after_wish or last in self.sets["having"]

    def _causative(self, i: int, here: int) -> bool:
        """ "had the belt replaced", "wants it done": one statement, whoever does the work."""
        if i not in self.verb_start:
            return False
        if self.lows[i - 1] in PARTICLES and self.lows[i] in self.sets["same-past"]:
            return False  # "to get the hose off | put two quarts back in"
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

    def _new_start(self, i: int, here: int) -> int:
        """The first word of what is called new at i: its count and article, and no name before them."""
        j = i
        while j - 1 > here and (
            self.lows[j - 1] in self.sets["determiner"]
            or self.lows[j - 1] in self.sets["new"]
            or self.lows[j - 1] in self.sets["number-word"]
            or self.lows[j - 1].isdigit()
            or self.in_place[j - 1]
        ):
            j -= 1
        return j

    def _passive_start(self, i: int, here: int) -> int:
        """Where the statement of the participle at i begins: "hub faces cleaned | slides cleaned" goes on as it began,
        each act behind its own part; else at the act itself."""
        first = next((j for j in range(here, i) if j in self.verb_start), None)
        if first is None or first == here or not self.noun_at[first - 1] or not self.lows[i].endswith("ed"):
            return i
        opened = all(self.noun_at[j] or self.in_place[j] or self.lows[j] in LEADS_SUBJECT for j in range(here, first))
        start = self._phrase_start(i, here)
        ends = self.verb_start[first].last
        whole = opened and start >= ends and start < i and self.lows[start - 1] not in self.sets["preposition"]
        return start if whole else i

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
            if word in self.sets["old"] and (
                self.lows[j] in self.sets["new"] or (j - 2 >= here and self.lows[j - 2] in self.sets["auxiliary"])
            ):
                break  # "were burnt | new ones in", "tested bad | new battery": a predicate
            if (
                self.in_phrase[j - 1]
                or word in self.sets["old"]
                or word.isdigit()
                or word in ("one", "two", "three", "four", "five", "six", "eight", "side", "of")
            ):
                j -= 1
                continue
            break
        k = j
        while k - 1 > here and self.in_place[k - 1]:
            k -= 1
        sided = k < j < i and self.lows[k - 1] in ("the", "both", "his", "her") and k - 1 > here
        return k - 1 if sided else j  # "noticed | the nearside front lower arm bush is split"

    def _subject_of(self, i: int, here: int) -> int | None:
        """Where the subject of the state verb at i begins, if it stands straight before it."""
        if self.lows[i] not in self.sets["state-verb"]:
            return None
        start = self._phrase_start(i, here)
        word = self.lows[i - 1]
        if self._of_me(i, here):
            return None
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

    def _of_me(self, i: int, here: int) -> bool:
        """ "Ended up putting", "went ahead and put", "pulled the pan | got five quarts", "hooked up the gauges | had forty",
        "didn't smell burnt | dropped the pan": the speaker, whatever was named before."""
        if (self.lows[i], self._next(i)) in (("ended", "up"), ("went", "ahead")):
            return True
        names = [j for j in range(self._phrase_start(i, here), i) if j in self.names]
        if i - 1 in self.in_fault and not names:
            return self._object_behind(i)
        if self.lows[i] not in ("got", "had") or not names:
            return False
        j = i + 1
        while self._at(j) in ("about", "uh", "um", "like", "maybe", "right", "around", "a", "good", "only", "just"):
            j += 1
        if self._at(j) not in self.numbers and not self._at(j)[:1].isdigit():
            return False
        poured = any(self._at(k) in self.sets["poured-unit"] for k in range(j + 1, j + 6))
        return (poured and self.lows[i] == "got") or self._needs_object(self._phrase_start(i, here))

    def _at(self, j: int) -> str:
        return self.lows[j] if j < len(self.lows) else ""

    def _needs_object(self, start: int) -> bool:
        """Whether an act straight before `start` has no object yet, so that what follows is its own."""
        before = start - 1
        if before not in self.in_verb and self.lows[before] in PARTICLES:
            before -= 1  # "hooked up | the gauges"
        if before not in self.in_verb or self.lows[before].endswith("s"):
            return False
        first = self.verb_of.get(before, before)
        if first and self.lows[first - 1] in ("at", "on", "for", "of", "under", "with", "in"):
            return False  # "one sixty at idle | the fan wasn't coming on"
        return first == 0 or not self.noun_at[first - 1]  # "thermostat replaced | alternator wasn't": it has its own

    def _object_behind(self, i: int) -> bool:
        hit = self.verb_start.get(i)
        return hit is not None and hit.last < len(self.lows) and self.lows[hit.last] in LEADS_SUBJECT

    def _new_subject(self, i: int) -> bool:
        """Whether a thing named anew straight behind another is the subject of what follows: "a new gasket | the left
        one was fine". Two things side by side, and a verb soon behind the second, are no one statement."""
        if self.lows[i] not in LEADS_SUBJECT or not self.noun_at[i - 1] or self.tokens[i].gap >= Gap.LINE:
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


def _covered(lows: Sequence[str], phrases: Mapping[str, Collection[tuple[str, ...]]]) -> set[int]:
    """The words that stand in a phrase which takes back what was said last: they begin no statement."""
    return {
        i
        for at, low in enumerate(lows)
        if low in phrases
        for size in (2, 3)
        if len(words := tuple(lows[at : at + size])) > 1 and words in phrases[low]
        for i in range(at, min(at + size, len(lows)))
    }
