"""An answer read after its question's own words -> what it tells, as facts in the places of the joined narrative.

What the whole narrative's last words made of a figure in an answer is put aside where the answer does not itself name
what it belongs to: "two ounces" answers the question that was asked, not whatever was spoken of last.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from narrate.core.handoffs import Facts, Fitted, Measured, Moved, Quantity, UnitUnderWork
from narrate.core.lexicon.answers import answer_words
from narrate.core.lexicon.lexicon import Lexicon
from narrate.hear.speech.numbers import read_number
from narrate.reckon.replies.asked import Asked
from narrate.reckon.replies.leads import Lead

Gather = Callable[[str, date | None], Facts]
_SHORT = 4  # words of an answer that may be a bare figure
_FIELDS = {"counted": "quantity", "condition": "condition", "number": "number"}


@dataclass(frozen=True)
class _Read:
    """An answer read after some words: `shift` takes its places to those of the joined narrative."""

    facts: Facts
    first: int  # character at which the answer begins
    last: int
    shift: int

    def place(self, quantity: Quantity) -> tuple[int, int] | None:
        """Where a quantity stands in the joined narrative; None where it is not of the answer."""
        tokens = self.facts.tokens
        start, end = (
            tokens[quantity.first].start,
            min(tokens[quantity.last - 1].end, self.last),
        )  # less a unit read behind
        return (start + self.shift, end + self.shift) if self.first <= start < end else None

    def spans(self, spans: Sequence[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
        """The parts of some spans that are of the answer."""
        cut = ((max(a, self.first), min(b, self.last)) for a, b in spans)
        return tuple(dict.fromkeys((a + self.shift, b + self.shift) for a, b in cut if a < b))


def read_answer(
    facts: Facts, asked: Asked, groups: Sequence[Sequence[Lead]], lexicon: Lexicon, gather: Gather
) -> Facts:
    """The facts of the whole with those of one answer read in its question's context."""
    reader = _Reader(facts, asked, lexicon, gather)
    taken: dict[tuple[int, int], Moved | Measured] = {}
    for at, group in enumerate(groups):
        later = {one for other in groups[at + 1 :] for lead in other if lead.kind == "reading" for one in lead.wanted}
        for lead in group:
            found = [(place, fact) for place, fact in reader.values(lead) if place not in taken]
            if found:
                taken.update(found if later.isdisjoint(lead.wanted) else found[:1])  # the next question wants one too
                break
    changed = reader.put(taken)
    for group in groups:
        for lead in group:
            before = changed
            if lead.kind == "unit":
                changed = reader.put_unit(changed, lead)
            elif lead.kind == "fitted":
                changed = reader.put_fitted(changed, lead)
            if changed is not before:
                break  # the others of a group are other ways to read the same words
    return changed


class _Reader:
    def __init__(self, facts: Facts, asked: Asked, lexicon: Lexicon, gather: Gather) -> None:
        self.facts, self.asked, self.lexicon, self.gather = facts, asked, lexicon, gather
        self.text = asked.added.text
        self.begins = {token.start: at for at, token in enumerate(facts.tokens)}
        self.ends = {token.end: at + 1 for at, token in enumerate(facts.tokens)}
        self.alone = self.after("")
        self.named = {hit.id for hit in self.alone.facts.hits if hit.layer in ("thing", "fluid", "reading")}

    def after(self, before: str, behind: str = "") -> _Read:
        """The answer read after `before` and, where it is given, with `behind` behind it."""
        lead = f"{before}: " if before else ""
        whole = f"{lead}{self.text}{' ' + behind if behind else ''}"
        facts = self.gather(whole, self.asked.added.made_on)
        return _Read(facts, len(lead), len(lead) + len(self.text), self.asked.start - len(lead))

    def values(self, lead: Lead) -> Iterator[tuple[tuple[int, int], Moved | Measured]]:
        """What the answer gives of what a lead asks for: the place of each value, and the fact."""
        if lead.kind not in ("amount", "reading"):
            return
        ways = [self.after(lead.before)]
        if lead.unit and len(self.text.split()) <= _SHORT:
            ways.append(self.after(lead.before, lead.unit))
        for read in ways:
            found = list(self._wanted(read, lead))
            yield from found
            if found:
                return

    def _wanted(self, read: _Read, lead: Lead) -> Iterator[tuple[tuple[int, int], Moved | Measured]]:
        group: tuple[Moved, ...] | tuple[Measured, ...]
        group = read.facts.moved if lead.kind == "amount" else read.facts.measured
        for fact in group:
            place = read.place(fact.quantity)
            quantity = place and self._quantity(fact.quantity, place)
            if place is None or quantity is None:
                continue
            moved = replace(
                fact, quantity=quantity, spans=read.spans(fact.spans) or (place,), clause=self._clause(place)
            )
            if isinstance(moved, Moved):
                if moved.direction in lead.wanted and self.lexicon.is_a(moved.thing, lead.of):
                    yield place, moved
            elif moved.what in lead.wanted:
                if not lead.of or self.lexicon.is_a(moved.thing, lead.of):
                    yield place, moved
                elif moved.thing not in self.named:  # of nothing that the answer names: of what was asked about
                    yield place, replace(moved, thing=lead.of[0])

    def _named_here(self) -> dict[tuple[int, int], str | None]:
        """The values that the answer's own words give a thing, with that thing."""
        out: dict[tuple[int, int], str | None] = {}
        values: tuple[Moved | Measured, ...] = (*self.alone.facts.moved, *self.alone.facts.measured)
        for fact in values:
            place = self.alone.place(fact.quantity)
            if place is not None and fact.thing in self.named:
                out[place] = fact.thing
        return out

    def put(self, taken: dict[tuple[int, int], Moved | Measured]) -> Facts:
        """The facts with the values of the answer as it was read, in place of what the rest made of them."""
        own = self._named_here()
        measures = {place for place in self._places() if place not in own or place in taken}
        moved = [m for m in self.facts.moved if self._place(m.quantity) not in measures]
        measured = [m for m in self.facts.measured if self._place(m.quantity) not in measures]
        labour = [m for m in self.facts.labour if self._place(m.quantity) not in taken]
        left = {place: fact for place, fact in self._plainly() if place in measures and place not in taken}
        put: tuple[Moved | Measured, ...] = (*taken.values(), *left.values())
        for fact in put:
            if isinstance(fact, Moved):
                moved.append(fact)
            else:
                measured.append(fact)
        return replace(self.facts, moved=tuple(moved), measured=tuple(measured), labour=tuple(labour))

    def _plainly(self) -> Iterator[tuple[tuple[int, int], Measured]]:
        """Readings that the answer gives by itself and nobody asked for; a figure of nothing in particular is none."""
        for fact in self.alone.facts.measured:
            place = self.alone.place(fact.quantity)
            quantity = place and self._quantity(fact.quantity, place)
            if place is not None and quantity is not None and (fact.subject or fact.thing):
                spans = self.alone.spans(fact.spans) or (place,)
                yield place, replace(fact, quantity=quantity, spans=spans, clause=self._clause(place))

    def _places(self) -> set[tuple[int, int]]:
        facts = self.facts
        values: tuple[Moved | Measured, ...] = (*facts.moved, *facts.measured, *facts.labour)
        found = (self._place(m.quantity) for m in values)
        return {place for place in found if self.asked.start <= place[0] and place[1] <= self.asked.end}

    def _place(self, quantity: Quantity) -> tuple[int, int]:
        return self.facts.tokens[quantity.first].start, self.facts.tokens[quantity.last - 1].end

    def _quantity(self, quantity: Quantity, place: tuple[int, int]) -> Quantity | None:
        """The quantity on the tokens of the whole; None where these are cut otherwise there."""
        first, last = self.begins.get(place[0]), self.ends.get(place[1])
        return None if first is None or last is None else replace(quantity, first=first, last=last, replaced=())

    def _clause(self, place: tuple[int, int]) -> int:
        return self.facts.clause_of[self.begins[place[0]]]

    # ------------------------------------------------------------------------------------------- the unit under work
    def put_unit(self, facts: Facts, lead: Lead) -> Facts:
        """What the answer tells of the unit under work, where the narrative did not or that very thing was asked."""
        read = self.after(lead.before)
        unit, spans = facts.unit, dict(facts.unit.spans)
        new: dict[str, object] = {}
        for field in UnitUnderWork.__dataclass_fields__:
            value = getattr(read.facts.unit, field)
            if field == "spans" or value is None or field == "vin_valid":
                continue
            place = self._tokens(read, read.facts.unit.spans.get(field))
            if place is None or (getattr(unit, field) is not None and not self._asked_for(field, unit)):
                continue
            if isinstance(value, Quantity):
                at = read.place(value)
                value = at and self._quantity(value, at)
            if value is not None:
                new[field], spans[field] = value, place
                if field == "vin":
                    new["vin_valid"] = read.facts.unit.vin_valid
        return replace(facts, unit=replace(unit, **new, spans=spans)) if new else facts  # type: ignore[arg-type]

    def _asked_for(self, field: str, unit: UnitUnderWork) -> bool:
        """Whether an answer may take the place of what was said before: a VIN asked for once more; a day named here."""
        if field == "vin":
            return self.asked.added.step_id == "vin-check"
        first = unit.spans.get(field, (0, 0))[0]
        return bool(self.facts.tokens) and self.facts.tokens[first].start >= self.asked.start

    def _tokens(self, read: _Read, span: tuple[int, int] | None) -> tuple[int, int] | None:
        if span is None or span[1] <= span[0]:
            return None
        tokens = read.facts.tokens
        start, end = max(tokens[span[0]].start, read.first) + read.shift, tokens[span[1] - 1].end + read.shift
        first, last = self.begins.get(start), self.ends.get(end)
        return None if first is None or last is None or first >= last else (first, last)

    # ------------------------------------------------------------------------------------------------- parts fitted
    def put_fitted(self, facts: Facts, lead: Lead) -> Facts:
        """The count or the condition of parts fitted, where the answer gives it and the narrative did not."""
        what = lead.wanted[0]
        open_parts = [f for f in facts.fitted if f.state == "done" and getattr(f, _FIELDS[what]) is None]
        told = self._told_of(lead, what, open_parts)

        def filled(part: Fitted) -> Fitted:
            one = told.get(part.thing) if part in open_parts else None
            if one is None:
                return part
            spans = tuple(dict.fromkeys((*part.spans, self._span)))
            if what == "counted":
                return replace(part, quantity=one.quantity, unit=one.unit, spans=spans)
            if what == "number":
                return replace(part, number=one.number, spans=spans)
            return replace(part, condition=one.condition, spans=spans)

        return replace(facts, fitted=tuple(map(filled, facts.fitted))) if told else facts

    def _told_of(self, lead: Lead, what: str, open_parts: Sequence[Fitted]) -> dict[str, Fitted]:
        """By thing, what the answer tells of it: of those that it names, else of the only one that can be meant."""
        read = self.after(lead.before).facts
        named = {f.thing: f for f in read.fitted if getattr(f, _FIELDS[what]) is not None}
        if named or any(hit.layer in ("thing", "fluid") for hit in self.alone.facts.hits):
            return named
        things = list(dict.fromkeys(f.thing for f in open_parts if what != "number" or self._is_main(f)))
        if len(things) > 1 and what != "condition" and not (what == "counted" and "each" in self.text.lower().split()):
            return {}
        out = {}
        pattern = answer_words().leads[f"part-{what}"]
        for thing in things:
            name = next(f.name for f in open_parts if f.thing == thing)
            whole = self.gather(pattern.format(answer=self.text, name=name), self.asked.added.made_on)
            same = [f for f in whole.fitted if f.thing == thing and getattr(f, _FIELDS[what]) is not None]
            if same and (what != "counted" or self._says(same[0].quantity)):
                out[thing] = same[0]
        return out

    def _says(self, count: Fraction | None) -> bool:
        """Whether the answer says this number itself: a part named without one counts as one, and was not counted."""
        tokens = self.alone.facts.tokens
        reads = (read_number(tokens, at) for at in range(len(tokens)))
        return any(one is not None and one.value == count for one in reads)

    def _is_main(self, part: Fitted) -> bool:
        """A part that has a number of its own on an invoice: no seal, no fastener."""
        entry = self.lexicon.things.get(part.thing)
        return entry is not None and entry.kind in ("part", "assembly")

    @property
    def _span(self) -> tuple[int, int]:
        return self.asked.start, self.asked.end
