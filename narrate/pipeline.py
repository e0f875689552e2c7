"""The stages in order: words in, sheet out. This module alone knows them all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from narrate.core import records
from narrate.core.findings import NarrateError
from narrate.core.handoffs import Facts, Hit, Label, Passage, Quantity, Token, UnitUnderWork
from narrate.core.lexicon.lexicon import Lexicon, load_lexicon
from narrate.core.lexicon.load import lexicon_root
from narrate.core.lexicon.plain_yaml import Faulty
from narrate.core.lexicon.rules import read_pack
from narrate.core.settings import Settings
from narrate.core.spec import SpecFile, check_spec, read_spec
from narrate.core.tokens import split_words
from narrate.hear.speech.repair import repair_speech
from narrate.read.clauses.split import cut_clauses
from narrate.read.mentions.shared_heads import share_heads
from narrate.read.mentions.sides import own_sides
from narrate.read.status.judge import judge_clauses
from narrate.read.status.others import name_other_units
from narrate.read.trade import tell_trade
from narrate.reckon.events.bind import bind_events
from narrate.reckon.evidence import RuleBook, Told, build_book, faults_in_procedures, loose_ends, with_levels
from narrate.reckon.jobs import tell_jobs
from narrate.reckon.ledgers import Evidencer, write_lines
from narrate.reckon.reconcile import check_jobs
from narrate.reckon.reconcile.by_settings import hold_to_settings
from narrate.reckon.reconcile.clock import labour_by_clock
from narrate.reckon.reconcile.labour import with_jobs
from narrate.reckon.reconcile.open_items import each_once
from narrate.reckon.reconcile.order import find_disorder
from narrate.reckon.reconcile.promises import close_promises
from narrate.reckon.reconcile.rules import hold_to_rules
from narrate.reckon.reconcile.sums import Sums, do_sums, most_urgent
from narrate.reckon.replies import Added, Replies, join_added, read_replies, settle_replies

_SPELT = frozenset(("part-number", "vin", "plate", "unit-number"))  # names in whose letters and figures no act is told


def read_measures(text: str, trade: str | None = None) -> list[records.Measure]:
    """Every quantity said in a phrase, units that the trade supplies included, in order of place.

    A first value that the speaker corrected comes too, with `state` retracted. Units are codes of units.yaml; offsets
    in `evidence` count in `text` as given (less control characters).
    """
    from narrate.hear.intake import take_text
    from narrate.read.mentions.identity import find_identity
    from narrate.read.mentions.measures import all_measures
    from narrate.read.mentions.quantities import find_quantities

    passage = take_text(text)
    tokens = split_words(passage)
    lexicon = load_trade(trade or tell_trade(tokens))
    tokens = repair_speech(passage, tokens, lexicon.word_sets)
    named = find_identity(tokens, lexicon, None)[1]
    masked = [(label.first, label.last) for label in named if label.kind not in ("odometer", "engine-hours")]
    quantities, labels = find_quantities(tokens, lexicon.find(tokens), lexicon, masked)
    return list(all_measures(quantities, labels, tokens, passage.narrative))


def compile_notes(
    text: str,
    name: str | None = None,
    dictated_on: date | str | None = None,
    trade: str | None = None,
    settings: Settings | None = None,
) -> records.Sheet:
    """Compile a narrative, or caption text recognised by its content, into a checked job sheet.

    `dictated_on` (a date or ISO text) is what relative dates resolve against; `trade` None is told from the words;
    `settings` bring a shop's own words, limits and rules. The same words, lexicon and settings give the same sheet.
    Raises NarrateError for input or a call that cannot be used.
    """
    from narrate.hear.intake import take_text

    return compile_passage(take_text(text, name), dictated_on, trade, settings=settings)


def compile_file(
    path: str | Path,
    name: str | None = None,
    dictated_on: date | str | None = None,
    trade: str | None = None,
    settings: Settings | None = None,
) -> records.Sheet:
    """Compile a file of any kind that intake reads. Raises NarrateError naming the file, what is wrong and a remedy."""
    from narrate.hear.intake import take_file

    passage = take_file(path)
    if name is not None:
        passage = replace(passage, name=name)
    return compile_passage(passage, dictated_on, trade, settings=settings)


def spec_of(path: Path, lexicon: Lexicon) -> SpecFile:
    """A specification file, with every part, fluid and reading that it names known to the lexicon."""
    spec = read_spec(path)
    check_spec(path, spec, lexicon)
    return spec


def as_date(day: date | str | None) -> date | None:
    """A date, or ISO text of one; NarrateError for anything else."""
    if day is None or isinstance(day, date):
        return day
    try:
        return date.fromisoformat(day)
    except (TypeError, ValueError):
        raise NarrateError(f"“{day}” is not a date.", where="dictated_on", remedy="Write it as 2026-03-16.") from None


def read_words(
    tokens: Sequence[Token], lexicon: Lexicon, day: date | None, sides: Mapping[str, Sequence[str]] | None = None
) -> tuple[tuple[Hit, ...], UnitUnderWork, tuple[Quantity, ...], tuple[Label, ...]]:
    """What is mentioned: phrases of the lexicon, the unit under work, quantities, and what only looks like one."""
    from narrate.read.mentions.identity import find_identity
    from narrate.read.mentions.quantities import find_quantities

    hits = share_heads(lexicon.find(tokens), tokens, lexicon)
    if sides:
        hits = own_sides(hits, tokens, lexicon, sides)
    unit, named = find_identity(tokens, lexicon, day)
    quantities, labels = find_quantities(tokens, hits, lexicon, [(label.first, label.last) for label in named])
    sizes = (q for q in quantities if q.unit not in ("", "each", "set", "pair"))
    inside = {i for q in sizes for i in range(q.first + 1, q.last)}  # "3 mil on the left": a unit's word is no lamp
    if inside:
        hits = tuple([h for h in hits if h.layer != "thing" or h.first not in inside])
    names = (*named, *labels)
    spelt = {i for n in names if n.kind in _SPELT for i in range(n.first, n.last)}
    if spelt:  # "number w p five zero eight four": no act of zeroing
        hits = tuple([h for h in hits if h.layer != "verb" or spelt.isdisjoint(range(h.first, h.last))])
    return hits, unit, quantities, names


def gather_facts(
    passage: Passage, lexicon: Lexicon, day: date | None, sides: Mapping[str, Sequence[str]] | None = None
) -> Facts:
    """The reading stages: tokens, hits, identity, quantities, clauses with their state, and the facts bound from them."""
    tokens = repair_speech(passage, split_words(passage), lexicon.word_sets)
    hits, unit, quantities, labels = read_words(tokens, lexicon, day, sides)
    cuts = cut_clauses(tokens, hits, lexicon)
    days = [label.first for label in labels if label.kind == "date"]
    standing = judge_clauses(tokens, cuts, hits, lexicon, name_other_units(tokens, hits, unit, lexicon), days)
    return bind_events(passage.narrative, tokens, hits, quantities, labels, standing, unit, lexicon)


@dataclass(frozen=True, slots=True)
class Judged:
    """One narrative judged: its jobs with the state of each step, and its gaps, as they stand on the sheet.

    The further fields are what the sheet's lines are written from. `told_by` holds, by kind of fact and its index, the
    job that it belongs to.
    """

    source: records.Source
    trade: str
    dictated_on: date | None
    work_date: date | None
    jobs: tuple[records.Job, ...]
    gaps: tuple[records.Gap, ...]
    cautions: tuple[records.Caution, ...]
    addenda: tuple[records.Addendum, ...]
    told: Told
    lexicon: Lexicon
    quote: Evidencer
    sums: Sums
    told_by: Mapping[tuple[str, int], str]
    specs: Sequence[SpecFile]


def judge_passage(
    passage: Passage,
    dictated_on: date | str | None = None,
    trade: str | None = None,
    added: Sequence[Added] = (),
    settings: Settings | None = None,
) -> Judged:
    """Judge what intake handed on, as `compile_passage` does, and write no lines: all that a review of many asks for.

    A shop's limits and rule packs are held to the whole sheet, and are not here.
    """
    day = as_date(dictated_on)
    settings = settings or Settings()
    trade = trade or settings.trade or tell_trade(split_words(passage), settings.lexicon)
    lexicon = load_trade(trade, settings.lexicon)
    specs = [spec_of(path, lexicon) for path in settings.spec]
    sides = {side: words for spec in specs for side, words in spec.sides.items()}
    passage, asked = join_added(passage, tuple(added))
    quote = Evidencer(passage)
    facts = gather_facts(passage, lexicon, day, sides)
    book = with_levels(rule_book(lexicon), settings.levels, str(settings.path or "levels"))
    replies = Replies()
    if asked:
        facts, replies = read_replies(
            facts,
            asked,
            lexicon,
            book,
            lambda text, on: gather_facts(
                replace(passage, narrative=text, times=(), pauses=()), lexicon, on or day, sides
            ),
        )
    told = Told(facts, book)
    hits = tell_jobs(told, book)
    jobs, gaps, cautions = check_jobs(told, hits, book, quote, settings.answers, replies)
    sums = do_sums(facts, lexicon, quote, settings.air_pa, settings.air_by)
    jobs, gaps, addenda = settle_replies(
        jobs, most_urgent(gaps, (*find_disorder(facts, jobs, book, quote), *sums.gaps)), replies, asked, quote
    )
    source = records.Source(
        name=passage.name,
        sha256=passage.sha256,
        kind=passage.kind,
        words=len(passage.narrative.split()),
        duration_s=passage.duration_s,
        notices=passage.notices,
    )
    of_job = {(kind, i): hit.id for hit in hits for kind, own in hit.facts.items() for i in own}
    return Judged(
        source, lexicon.id, day, facts.unit.work_date, jobs, gaps, cautions, addenda,
        told, lexicon, quote, sums, of_job, specs,
    )  # fmt: skip


def compile_passage(
    passage: Passage,
    dictated_on: date | str | None = None,
    trade: str | None = None,
    added: Sequence[Added] = (),
    settings: Settings | None = None,
) -> records.Sheet:
    """Compile what intake handed on, with the answers and additions that were made to it since.

    These stand after the narrative, a paragraph each; no place in the narrative changes. An answer is read in the
    context of its question, so that a bare "15 minutes" or "no, because ..." is understood.
    """
    settings = settings or Settings()
    judged = judge_passage(passage, dictated_on, trade, added, settings)
    facts, lexicon, quote = judged.told.facts, judged.lexicon, judged.quote
    lines = write_lines(facts, lexicon, quote, judged.told_by)
    sheet = records.Sheet(
        source=judged.source,
        narrative=facts.narrative,
        trade=judged.trade,
        dictated_on=judged.dictated_on,
        work_date=judged.work_date,
        vehicle=vehicle_of(facts, facts.unit, quote),
        jobs=judged.jobs,
        parts=lines.parts,
        amounts=lines.amounts,
        readings=judged.sums.on(lines.readings),
        sizes=lines.sizes,
        actions=lines.actions,
        findings=lines.findings,
        deferred=each_once(close_promises(lines.deferred, facts, lexicon, quote), facts, lexicon, quote),
        labour=with_jobs((*lines.labour, *labour_by_clock(facts, quote)), judged.jobs, facts, lexicon),
        unknown=lines.unknown,
        balances=judged.sums.balances,
        gaps=judged.gaps,
        cautions=judged.cautions,
        addenda=judged.addenda,
    )
    if judged.specs or settings.air_pa is not None:
        sheet = hold_to_settings(sheet, facts, lexicon, judged.specs, settings, quote)
    if settings.rules:
        sheet = hold_to_rules(sheet, judged.told, [read_pack(name, settings.lexicon) for name in settings.rules])
    return sheet


def _with_book(lexicon: Lexicon) -> None:
    """Make the procedures of a lexicon, and its signs of who and when, ready to ask, beside it."""
    from narrate.read.mentions.landmarks import build_signs

    lexicon.made["signs"] = build_signs(lexicon)
    try:
        lexicon.made["book"] = build_book(
            lexicon.files.get("procedures", ()),
            lexicon.files.get("cautions", ()),
            lexicon.things,
            lexicon.verbs.values(),
            lexicon.subjects.values(),
        )
    except NarrateError:
        faults = faults_in_procedures(lexicon)  # the same, with files and lines
        if faults:
            raise Faulty(faults) from None
        raise
    if lexicon.roots != (lexicon_root(),):  # a shop's own folders; of ours “narrate lexicon check” and the tests tell
        lost = [end.fault(lexicon) for end in loose_ends(lexicon, lexicon.made["book"])]
        ours = lexicon_root()
        own = [fault for fault in lost if not fault.path.is_relative_to(ours)]
        if own:
            raise Faulty(own)


def load_trade(trade: str, more: tuple[Path, ...] = ()) -> Lexicon:
    """A trade's lexicon with its rule book (`rule_book`)."""
    return load_lexicon(trade, more, _with_book)


def rule_book(lexicon: Lexicon) -> RuleBook:
    """The procedures of a lexicon that `load_trade` gave."""
    if "book" not in lexicon.made:
        _with_book(lexicon)
    book: RuleBook = lexicon.made["book"]
    return book


def vehicle_of(facts: Facts, unit: UnitUnderWork, quote: Evidencer) -> records.Vehicle:
    from narrate.reckon.ledgers.lines import measure_of

    spans = [(facts.tokens[a].start, facts.tokens[b - 1].end) for a, b in unit.spans.values() if b > a]
    return records.Vehicle(
        year=unit.year,
        make=unit.make,
        model=unit.model,
        vin=unit.vin,
        vin_valid=unit.vin_valid,
        odometer=measure_of(unit.odometer, facts, quote) if unit.odometer else None,
        engine_hours=measure_of(unit.engine_hours, facts, quote) if unit.engine_hours else None,
        plate=unit.plate,
        unit_number=unit.unit_number,
        evidence=quote(sorted(set(spans))),
    )
