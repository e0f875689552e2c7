"""A sheet against rule packs -> a gap for each rule that the record does not meet.

Only what a technician can tell is asked for: what an invoice or the office adds is checked there. Where a step of a job
asks for the same already, its gap becomes as pressing as the rule, and says whose rule it is; nothing is asked twice.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from fnmatch import fnmatchcase

from narrate.core.findings import NarrateError
from narrate.core.lexicon.rules import Pack, Rule, needs_asked
from narrate.core.records import Evidence, Gap, Sheet
from narrate.core.tokens import phrase_keys
from narrate.reckon.evidence import Told, Weigher
from narrate.reckon.evidence.book import nested
from narrate.reckon.evidence.sayings import Sayings

Missing = tuple[str, str, str | None]  # what is missing, how it is asked, and the step that asks for the same


def hold_to_rules(sheet: Sheet, told: Told, packs: Sequence[Pack]) -> Sheet:
    """The sheet with the gaps that its packs open, behind those that are as pressing. Its other lines stay."""
    gaps = list(sheet.gaps)
    for pack in packs:
        if pack.trades and sheet.trade not in pack.trades:
            continue
        ask = _weigher(told, pack, sheet)
        for rule in pack.rules:
            if rule.when is None or _called_for(rule, sheet):
                gaps = _with(gaps, pack, rule, list(_missing(rule, sheet, ask)), sheet)
    return sheet.model_copy(update={"gaps": tuple(gaps)})


def _weigher(told: Told, pack: Pack, sheet: Sheet) -> Weigher:
    """Asks for the clues of a pack, whose phrases are its own."""
    said = {saying for rule in pack.rules for clue in nested(rule.met_by) for saying in clue.said}
    try:
        book = replace(told.book, sayings=Sayings(sorted(said), pack.groups))
    except ValueError as error:
        raise NarrateError(
            f"{error}.", where=f"rule pack {pack.id}", remedy="See the guide on how it is written."
        ) from None
    return Weigher(Told(told.facts, book), jobs={job.id for job in sheet.jobs})


# ------------------------------------------------------------------------------------------------- what is missing
def _missing(rule: Rule, sheet: Sheet, ask: Weigher) -> Iterator[Missing]:
    asked = needs_asked()
    for need in rule.needs:
        check = _NEEDS.get(need)
        if check is not None and need in asked:
            lacking = check(sheet)
            if lacking is not None:
                words = f": {', '.join(lacking)}" if lacking else ""
                yield f"{need.replace('-', ' ')}{words}", asked[need].asks, asked[need].step
    for reading in rule.readings:
        if not _read(sheet, reading.what, reading.says):
            name = " ".join((*reading.says[:1], reading.what))
            yield name, f"What was the {name}?", None
    for moved in rule.amounts:
        if not any(
            a.state == "done" and a.direction == moved.direction and _like((a.id,), moved.of) for a in sheet.amounts
        ):
            way = "went in" if moved.direction == "in" else "came out"
            name = _plain(moved.of[-1])
            yield f"how much {name} {way}", f"How much {name} {way}?", None
    if (rule.steps or rule.met_by) and not (_recorded(sheet, rule.steps) or ask.met(rule.met_by)):
        yield "not on record", rule.ask or rule.requires, next(iter(rule.steps), None)


def _plain(pattern: str) -> str:
    """What a pattern of ids means to a reader: "refrigerant*" is refrigerant."""
    return pattern.strip("*-").replace("-", " ")


def _called_for(rule: Rule, sheet: Sheet) -> bool:
    when = rule.when
    return when is not None and (
        _like((job.id for job in sheet.jobs), when.jobs)
        or _like((a.id for a in sheet.amounts if a.state == "done"), when.fluids)
        or _like((p.id for p in sheet.parts if p.state == "done"), when.parts)
    )


def _like(ids: Iterable[str], patterns: Sequence[str]) -> bool:
    return any(fnmatchcase(one, pattern) for one in ids for pattern in patterns)


def _read(sheet: Sheet, what: str, says: Sequence[str]) -> bool:
    """Whether a reading of that kind is on record as done, on something of that name."""
    wanted = [phrase_keys(words.lower()) for words in says]
    for reading in sheet.readings:
        if reading.what != what or reading.state != "done":
            continue
        have = phrase_keys((reading.subject or "").lower())
        if not wanted or any(have[i : i + len(w)] == w for w in wanted for i in range(len(have) - len(w) + 1)):
            return True
    return False


def _recorded(sheet: Sheet, steps: Sequence[str]) -> bool:
    return any(step.id in steps and step.state == "recorded" for job in sheet.jobs for step in job.steps)


def _answered(sheet: Sheet, *steps: str) -> bool:
    """Whether a step is on record, or answered with its reason."""
    states = ("recorded", "not done with reason")
    return any(step.id in steps and step.state in states for job in sheet.jobs for step in job.steps)


# each check gives None where the need is met, else the lines that it misses (none of them: the whole is missing)
Check = Callable[[Sheet], tuple[str, ...] | None]


def _known(get: Callable[[Sheet], object]) -> Check:
    return lambda sheet: None if get(sheet) else ()


def _each_part(has: Callable[[object], object]) -> Check:
    def check(sheet: Sheet) -> tuple[str, ...] | None:
        lacking = dict.fromkeys(p.name for p in sheet.parts if p.state == "done" and not has(p))
        return tuple(lacking) or None

    return check


_NEEDS: dict[str, Check] = {
    "work-date": _known(lambda s: s.work_date or s.dictated_on),
    "year": _known(lambda s: s.vehicle.year),
    "make": _known(lambda s: s.vehicle.make),
    "model": _known(lambda s: s.vehicle.model),
    "vin": _known(lambda s: s.vehicle.vin),
    "plate": _known(lambda s: s.vehicle.plate),
    "plate-or-vin": _known(lambda s: s.vehicle.plate or s.vehicle.vin),
    "unit-number": _known(lambda s: s.vehicle.unit_number),
    "odometer": _known(lambda s: s.vehicle.odometer or s.vehicle.engine_hours),
    "odometer-out": lambda s: (),  # a sheet knows one reading: that of the arrival
    "technician": _known(lambda s: _answered(s, "tech", "who", "technician")),
    "complaint": _known(lambda s: _answered(s, "complaint") or any(f.kind == "complaint" for f in s.findings)),
    "cause": _known(lambda s: _answered(s, "cause", "proof") or any(f.kind in ("cause", "fault") for f in s.findings)),
    "correction": _known(lambda s: s.jobs),
    "work-described": _known(lambda s: s.jobs),
    "times": _known(lambda s: [one for one in s.labour if one.basis == "said"]),
    "part-condition": _each_part(lambda p: getattr(p, "condition", None)),
    "part-number": _each_part(lambda p: getattr(p, "number", None)),
}


# ------------------------------------------------------------------------------------------------- the gaps
def _with(gaps: list[Gap], pack: Pack, rule: Rule, missing: Sequence[Missing], sheet: Sheet) -> list[Gap]:
    """The gaps with those of one rule: what a step asks for already is asked there, and is as pressing as the rule."""
    whose = f"{pack.title}: {rule.source} ({rule.edition})"
    left: list[Missing] = []
    for one in missing:
        at = next((i for i, gap in enumerate(gaps) if one[2] and gap.step.startswith(f"{one[2]}:")), None)
        if at is None:
            left.append(one)
            continue
        gap = gaps.pop(at)
        level = "must" if "must" in (gap.severity, rule.level) else "should"
        message = gap.message if whose in gap.message else f"{gap.message.rstrip('.')}. Asked for by {whose}."
        _place(gaps, gap.model_copy(update={"severity": level, "message": message}), at)
    if left:
        named = "; ".join(dict.fromkeys(what for what, _, _ in left))
        asks = tuple(dict.fromkeys(question for _, question, _ in left))
        _place(gaps, Gap(
            step=f"{pack.id}.{rule.id}: {rule.requires}", kind="missing", severity=rule.level,
            message=f"{rule.requires.rstrip('.')}: {named}. Asked for by {whose}.",
            question=rule.ask or " ".join(asks[:3]), evidence=_evidence(sheet),
        ))  # fmt: skip
    return gaps


def _place(gaps: list[Gap], gap: Gap, at: int | None = None) -> None:
    """Put a gap in: where it was, if that is among its like, else behind those that are as pressing."""
    end = sum(1 for one in gaps if one.severity == "must") if gap.severity == "must" else len(gaps)
    gaps.insert(end if at is None or at > end else at, gap)


def _evidence(sheet: Sheet) -> tuple[Evidence, ...]:
    return sheet.jobs[0].evidence[:1] if sheet.jobs else ()
