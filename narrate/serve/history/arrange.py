"""History -> Page: for the shop, with what recurs and the words behind it; or for who takes the vehicle over.

The second tells what was done and what was advised, in plain words; it blames nobody, and holds no question and no
customer's name.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any, Literal

from narrate.core.records import DeferredKind
from narrate.render.formats.page import Block, Column, Fact, Facts, Note, Page, Piece, Row, Table
from narrate.render.sheet.measures import say_count, say_quantity
from narrate.render.sheet.wording import DEFERRED
from narrate.serve.history.carry import Promise
from narrate.serve.history.gather import History, Visit
from narrate.serve.history.trends import Trend

Reader = Literal["shop", "owner"]
TITLE = "Service history"
_STANDS: dict[str, str] = {
    "recommended": "advised, not done on record",
    "declined": "advised, declined",
    "planned": "planned, not done on record",
    "promised": "promised, not done on record",
}
_MOST = 30  # parts and readings that are listed where not all visits are
_LONGEST = 40  # words of a promise on an owner's paper


def arrange_history(history: History, reader: Reader = "shop", last: int | None = None, *, sparks: bool = True) -> Page:
    """Lay a history out; `last`: only so many of the newest visits are listed, all of them counted."""
    shop = reader == "shop"
    most = None if last is None else max(last, _MOST)
    blocks = [
        _unit(history),
        _open(history.promises.open, shop),
        _visits(history, last, shop),
        _parts(history, most),
        _trends(history.trends, most, sparks),
        _recurring(history, most) if shop else None,
        _closed(history) if shop else None,
        _doubts(history) if shop else None,
        None if shop else _said_by_whom(),
    ]
    name = history.name or history.vin or history.asked
    return Page(
        title=TITLE,
        headline=name,
        running=f"{TITLE} · {name}",
        origin=f"{len(history.visits)} visits on record, {history.visits[0].date} to {history.visits[-1].date}",
        blocks=tuple(block for block in blocks if block is not None),
    )


def _unit(history: History) -> Block:
    first, last = history.visits[0], history.visits[-1]
    known = (
        ("Unit", history.name),
        ("VIN", history.vin),
        ("Plate", ", ".join(history.said["plate"])),
        ("Unit number", ", ".join(history.said["unit_number"])),
        ("Odometer, last", _meter(history.last_meter)),
        ("Visits", f"{len(history.visits):,}"),
        ("From", first.date),
        ("To", last.date),
    )
    facts = tuple(Fact(label, (Piece(said, tone="strong"),)) for label, said in known if said)
    return Block("unit", "The unit", (Facts(facts, across=4),))


def _meter(meter: dict[str, Any] | None) -> str:
    return say_quantity(meter["low"], meter["high"], meter["unit"]) if meter else ""


def _open(promises: Sequence[Promise], shop: bool) -> Block:
    heading = "Still open from earlier visits" if shop else "Advised, and not done on record"
    rows = []
    for one in promises:
        text = one.text if shop else _plainly(one.text)
        if not text:
            continue
        mark, word = DEFERRED[_kind(one.kind)]
        again = f"said at {one.visits} visits, last on {one.mentions[-1].date}" if one.visits > 1 else ""
        stands = Piece(word if shop else _STANDS[one.kind], mark=mark, note=again)
        rows.append(Row((Piece(one.since), Piece(_meter(one.meter)), stands, Piece(text))))
    if not rows:
        return Block("open", heading, (Note((Piece("Nothing is open."),)),))
    columns = (Column("Since", 12), Column("At", 13, "right"), Column("How it stands", 25), Column("What", 50))
    return Block("open", heading, (Table(heading, columns, tuple(rows), cited=False),))


def _kind(kind: str) -> DeferredKind:
    return kind if kind in _STANDS else "planned"  # type: ignore[return-value]


def _plainly(text: str) -> str:
    """A promise for an owner's eyes: without blame, and "" where it is the technician thinking aloud."""
    from narrate.render.papers.plain import without_blame

    plain = without_blame(text)
    return plain if len(plain.split()) <= _LONGEST else ""


def _visits(history: History, last: int | None, shop: bool) -> Block:
    shown = history.visits if last is None else history.visits[-last:]
    rows = tuple(_visit_row(visit, shop) for visit in shown)
    columns = (Column("Date", 11), Column("Odometer", 12, "right"), Column("Work", 30), Column("Parts and fluids", 37),
               *((Column("No.", 10, "right"),) if shop else ()))  # fmt: skip
    body: list[Note | Table] = [Table("Visits, the earliest first", columns, rows, cited=False)]
    left = len(history.visits) - len(shown)
    if left:
        earlier = "one earlier visit is" if left == 1 else f"{left:,} earlier visits are"
        body.insert(0, Note((Piece(f"The newest {len(shown)}; {earlier} not listed here.", tone="faint"),)))
    return Block("visits", "Visits", tuple(body))


def _visit_row(visit: Visit, shop: bool) -> Row:
    jobs = "; ".join(_title(one, shop) for one in visit.held["jobs"]) or ("no job told" if shop else "Looked at")
    found = [
        _finding(one[0], one[1], shop) for one in visit.held["findings"] if one[0] in ("complaint", "cause", "fault")
    ]
    note = "; ".join(dict.fromkeys(one for one in found if one))
    parts = [_say_part(part) for part in visit.held["parts"]]
    fluids = [_say_fluid(one) for one in visit.held["fluids"] if one[1] == "in"]
    number = f"{visit.narrative}" + (f", rev. {visit.revision}" if visit.revision > 1 else "")
    by = "" if visit.told_by == "the number asked for" else f"by {visit.told_by}"
    cells = [Piece(visit.date), Piece(_meter(visit.meter)), Piece(jobs, note=note), Piece("; ".join((*parts, *fluids)))]
    return Row((*cells, *((Piece(number, note=by),) if shop else ())))


def _title(title: str, shop: bool) -> str:
    from narrate.render.papers.plain import plain_title

    return title if shop else plain_title(title)


def _finding(kind: str, text: str, shop: bool) -> str:
    """A finding as it was said; for an owner the complaint alone, tidied and without blame."""
    if shop or kind != "complaint":
        return text if shop else ""
    from narrate.render.papers.plain import without_blame

    return without_blame(text)


def _say_part(part: list[Any]) -> str:
    _, name, position, quantity, unit, condition, number = part
    count = say_count(quantity, unit)
    named = f"{count} × {name}" if count and quantity != 1 else name
    return ", ".join(one for one in (named, position, condition, f"no. {number}" if number else "") if one)


def _say_fluid(fluid: list[Any]) -> str:
    name, _, low, high, unit, about, _ = fluid
    return f"{name} {'about ' if about else ''}{say_quantity(low, high, unit)}"


def _parts(history: History, most: int | None) -> Block | None:
    rows = []
    for one in history.fittings[:most]:
        since = f"{one.since:,.0f} {one.meter['unit']}" if one.since is not None and one.meter else ""
        times = f"{one.times} times" if one.times > 1 else "once"
        what = ", ".join(word for word in (one.name, one.position) if word)
        kind = ", ".join(word for word in (one.condition, one.number) if word)
        rows.append(
            Row((Piece(what, note=kind), Piece(times), Piece(one.date), Piece(_meter(one.meter)), Piece(since)))
        )
    if not rows:
        return None
    columns = (Column("Part", 38), Column("Fitted", 12), Column("Last on", 14), Column("At", 18, "right"),
               Column("Gone since", 18, "right"))  # fmt: skip
    table = Table("Parts", columns, tuple(rows), cited=False)
    return Block("parts", "Parts, when last fitted", (*_rest(len(history.fittings), most), table))


def _rest(count: int, most: int | None) -> tuple[Note, ...]:
    """That a table is cut short, where it is."""
    if most is None or count <= most:
        return ()
    return (Note((Piece(f"The first {most} of {count:,}.", tone="faint"),)),)


def _trends(trends: Sequence[Trend], most: int | None, sparks: bool) -> Block | None:
    if not trends:
        return None
    rows = []
    for one in trends[:most]:
        rate = ""
        if one.rate and one.meter_unit:
            sign = "+" if one.rate > 0 else ""
            rate = f"{sign}{say_quantity(_short(one.rate), _short(one.rate), one.unit)} a thousand {one.meter_unit}"
        cells = [
            Piece(one.what),
            Piece(f"{len(one.values)}"),
            Piece(_value(one.first.value, one.unit), note=one.first.date),
            Piece(_value(one.last.value, one.unit), note=one.last.date),
            Piece(_range(one), note=rate),
        ]
        rows.append(Row((*cells, *((Piece(one.spark),) if sparks else ()))))
    # the course is a row of up to 16 bars, and says nothing where it is broken into lines
    columns = (Column("Reading", 22), Column("Times", 7, "right"), Column("First", 13, "right"),
               Column("Last", 13, "right"), Column("Range", 19),
               *((Column("Course", 26),) if sparks else ()))  # fmt: skip
    table = Table("Readings over the visits", columns, tuple(rows), cited=False)
    return Block("trends", "How readings went", (*_rest(len(trends), most), table))


def _short(value: float) -> float:
    """Three figures: what a rate over a few readings is worth."""
    return float(f"{value:.3g}")


def _value(value: float, unit: str) -> str:
    """As it was said, or brought to the trend's unit: to the hundredth, small values to three figures."""
    rounded = round(value, 2) if abs(value) >= 1 else float(f"{value:.3g}")
    return say_quantity(rounded, rounded, unit)


def _range(trend: Trend) -> str:
    if trend.least == trend.most:
        return "always the same"
    return f"{_value(trend.least, trend.unit)} to {_value(trend.most, trend.unit)}"


def _recurring(history: History, most: int | None) -> Block | None:
    facts = []
    for one in history.recurring[:most]:
        told = tuple(Piece(f"{date} {_meter(meter)} “{words}”") for date, meter, words in one.visits[-5:])
        facts.append(Fact(f"{one.thing.replace('-', ' ')}, {len(one.visits)} visits", told))
    return Block("recurring", "Found more than once", (Facts(tuple(facts)),)) if facts else None


def _closed(history: History) -> Block | None:
    rows = tuple(
        Row((Piece(one.since), Piece(one.text), Piece(one.closing.date), Piece(f"“{one.closing.words}”")))
        for one in history.promises.closed[-20:]
        if one.closing is not None
    )
    if not rows:
        return None
    columns = (Column("Said on", 12), Column("What", 38), Column("Done on", 12), Column("In these words", 38))
    return Block("closed", "Left for later, and done since", (Table("Closed", columns, rows, cited=False),))


def _doubts(history: History) -> Block | None:
    return _notes("doubts", "What does not fit", history.doubts)


def _notes(key: str, heading: str, lines: Iterable[str]) -> Block | None:
    pieces = tuple(Piece(line) for line in lines)
    return Block(key, heading, (Note(pieces),)) if pieces else None


def _said_by_whom() -> Block:
    words = (
        "Put together from the notes of those who did the work. It tells what was noted, and is no statement about the "
        "condition of the vehicle."
    )
    return Block("origin", "About this history", (Note((Piece(words),)),))
