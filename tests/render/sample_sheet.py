"""Job sheets made by hand: one with every kind of line in every state, one with nothing known, one full of tricks.

Invented notes; no person, business or number in them is real.
"""

from __future__ import annotations

import hashlib
from datetime import date

from narrate.core.records import (
    Action,
    Amount,
    Balance,
    Caution,
    Deferred,
    Evidence,
    Finding,
    Gap,
    Job,
    Labour,
    Measure,
    Notice,
    Part,
    Reading,
    Sheet,
    Size,
    Source,
    Step,
    Unknown,
    Vehicle,
)

LINES = [
    (2.0, "okay this is the oh five silverado fifteen hundred, one sixty eight four ten on the clock"),
    (9.5, "he says it blows cold for a minute then warm and something growls"),
    (15.0, "clutch bearing is rough you can hear it with the belt off"),
    (21.0, "recovered one point one pounds and about a half ounce of oil came with it"),
    (33.0, "old compressor gave two no wait three ounces of oil"),
    (41.0, "new compressor on, poured three and a half ounces of pag forty six back in"),
    (52.0, "two new sealing washers at the manifold, part number double oh one two three"),
    (60.0, "compressor bolts got thirty seven foot pounds, they're thirteen or fourteen millimeter"),
    (70.0, "pulled it down to twenty nine and a half inches"),
    (78.0, "charged one point six pounds by the scale"),
    (85.0, "ran the sniffer around every fitting no leaks"),
    (92.0, "the condenser is clean so i left that alone"),
    (99.0, "then the rear brakes, one set of pads, less than three millimeters left on the old ones"),
    (110.0, "rotors measured ten point two and the limit cast in them is ten"),
    (118.0, "wheel nuts to a hundred, five eighths wrench on the caliper bracket, m twelve by one twenty five"),
    (130.0, "i'll bleed it tomorrow"),
    (135.0, "you never want to let the caliper hang on the hose"),
    (141.0, "we did a condenser on his wife's car last summer"),
    (148.0, "belt is cracked, he said do it with the next oil change"),
    (155.0, "all in it took about two and a half hours"),
    (161.0, "put some of that blue snot on the pins"),
]
NARRATIVE = "\n".join(line for _, line in LINES)


def _time_at(offset: int) -> float:
    at = 0
    time_s = 0.0
    for start_s, line in LINES:
        if at > offset:
            break
        time_s = start_s
        at += len(line) + 1
    return time_s


def ev(quote: str, timed: bool = True) -> tuple[Evidence, ...]:
    """The evidence of words that stand once in the narrative."""
    start = NARRATIVE.index(quote)
    time_s = _time_at(start) if timed else None
    return (Evidence(start=start, end=start + len(quote), quote=quote, time_s=time_s),)


def measure(text: str, unit: str, low: float, high: float | None = None, **more: object) -> Measure:
    return Measure(
        low=low,
        high=low if high is None else high,
        unit=unit,
        text=text,
        evidence=ev(text),
        **more,  # type: ignore[arg-type]
    )


def rich_sheet() -> Sheet:
    """A sheet with two jobs, every block, every state of a step and of a statement."""
    compressor, brakes = "ac-compressor", "rear-brake-pads"
    jobs = (
        Job(
            id=compressor,
            title="A/C compressor",
            evidence=ev("new compressor on"),
            steps=(
                Step(
                    id="recover",
                    label="Refrigerant recovered, and how much",
                    requirement="must",
                    state="recorded",
                    evidence=ev("recovered one point one pounds"),
                ),
                Step(
                    id="oil",
                    label="Oil drained from the old compressor and put in the new one",
                    requirement="must",
                    state="contradicted",
                    reason="two ounces and three ounces are both said",
                    evidence=ev("two no wait three ounces of oil"),
                ),
                Step(
                    id="flush",
                    label="Lines and condenser flushed",
                    requirement="should",
                    state="not done with reason",
                    reason="the condenser is clean",
                    evidence=ev("the condenser is clean so i left that alone"),
                ),
                Step(
                    id="vacuum",
                    label="Vacuum pulled, and how deep",
                    requirement="must",
                    state="recorded",
                    evidence=ev("pulled it down to twenty nine and a half inches"),
                ),
                Step(
                    id="hold",
                    label="Vacuum held with the pump off, and for how long",
                    requirement="must",
                    state="not recorded",
                ),
                Step(id="vent", label="Vent temperature after the work", requirement="should", state="not recorded"),
                Step(
                    id="leak-test",
                    label="Leak test of every joint that was opened",
                    requirement="must",
                    state="recorded",
                    evidence=ev("ran the sniffer around every fitting no leaks"),
                ),
                Step(
                    id="rear-unit",
                    label="Rear unit valves checked",
                    requirement="should",
                    state="not applicable",
                    reason="no rear unit is told of",
                ),
            ),
        ),
        Job(
            id=brakes,
            title="Rear brake pads",
            evidence=ev("then the rear brakes"),
            steps=(
                Step(
                    id="pads",
                    label="Pads fitted, both sides",
                    requirement="must",
                    state="recorded",
                    evidence=ev("one set of pads"),
                ),
                Step(
                    id="rotor",
                    label="Rotor thickness against the limit",
                    requirement="must",
                    state="out of range",
                    reason="10.2 mm is said for a rotor, and 10 mm for its limit",
                    evidence=ev("rotors measured ten point two"),
                ),
                Step(
                    id="pins",
                    label="Slide pins cleaned and greased, and with what",
                    requirement="should",
                    state="value missing",
                    evidence=ev("put some of that blue snot on the pins"),
                ),
                Step(
                    id="bleed",
                    label="Brakes bled",
                    requirement="must",
                    state="promised only",
                    evidence=ev("i'll bleed it tomorrow"),
                ),
            ),
        ),
    )
    return Sheet(
        source=Source(
            name="bay-2-thursday.srt",
            sha256=hashlib.sha256(NARRATIVE.encode()).hexdigest(),
            kind="captions",
            words=len(NARRATIVE.split()),
            duration_s=166.0,
            notices=(Notice(message="a made-up line over silence was left out", time_s=166.0),),
        ),
        narrative=NARRATIVE,
        trade="light-vehicle",
        dictated_on=date(2026, 6, 11),
        work_date=date(2026, 6, 11),
        vehicle=Vehicle(
            year=2005,
            make="Chevrolet",
            model="Silverado 1500",
            odometer=measure("one sixty eight four ten", "mi", 168410),
            evidence=ev("oh five silverado fifteen hundred"),
        ),
        jobs=jobs,
        parts=(
            Part(
                id="ac-compressor",
                name="compressor",
                quantity=1,
                unit="each",
                condition="new",
                state="done",
                job=compressor,
                evidence=ev("new compressor on"),
            ),
            Part(
                id="sealing-washer",
                name="sealing washer",
                quantity=2,
                unit="each",
                condition="new",
                position="manifold",
                number="00123",
                state="done",
                job=compressor,
                evidence=ev("two new sealing washers at the manifold, part number double oh one two three"),
            ),
            Part(
                id="brake-pad",
                name="brake pads",
                quantity=1,
                unit="set",
                position="rear",
                state="done",
                job=brakes,
                evidence=ev("one set of pads"),
            ),
            Part(
                id="drive-belt",
                name="drive belt",
                position=None,
                state="planned",
                job=None,
                evidence=ev("belt is cracked, he said do it with the next oil change"),
            ),
        ),
        amounts=(
            Amount(
                id="r134a",
                substance="refrigerant R-134a",
                direction="out",
                state="done",
                job=compressor,
                measure=measure("one point one pounds", "lb", 1.1),
                evidence=ev("recovered one point one pounds"),
            ),
            Amount(
                id="pag-oil",
                substance="PAG oil",
                direction="out",
                state="done",
                job=compressor,
                measure=measure("about a half ounce", "floz", 0.5, approximate=True),
                evidence=ev("about a half ounce of oil came with it"),
            ),
            Amount(
                id="pag-oil",
                substance="PAG oil",
                direction="out",
                state="retracted",
                job=compressor,
                measure=measure("two no wait", "floz", 2.0, state="retracted"),
                evidence=ev("two no wait"),
            ),
            Amount(
                id="pag-oil",
                substance="PAG oil",
                direction="out",
                state="done",
                job=compressor,
                measure=measure("three ounces", "floz", 3.0),
                evidence=ev("old compressor gave two no wait three"),
            ),
            Amount(
                id="pag-oil",
                substance="PAG oil",
                direction="in",
                state="done",
                job=compressor,
                measure=measure("three and a half ounces", "floz", 3.5),
                evidence=ev("poured three and a half ounces of pag forty six back in"),
            ),
            Amount(
                id="r134a",
                substance="refrigerant R-134a",
                direction="in",
                state="done",
                job=compressor,
                measure=measure("one point six pounds", "lb", 1.6),
                evidence=ev("charged one point six pounds"),
            ),
        ),
        readings=(
            Reading(
                what="torque",
                subject="compressor bolts",
                state="done",
                job=compressor,
                measure=measure("thirty seven foot pounds", "ftlb", 37),
                evidence=ev("compressor bolts got thirty seven foot pounds"),
            ),
            Reading(
                what="vacuum",
                subject=None,
                state="done",
                job=compressor,
                measure=measure("twenty nine and a half inches", "inHg", 29.5),
                evidence=ev("pulled it down to twenty nine and a half inches"),
            ),
            Reading(
                what="thickness",
                subject="old pads",
                state="done",
                job=brakes,
                verdict="outside",
                measure=measure("less than three millimeters", "mm", 3, bound="under"),
                evidence=ev("less than three millimeters left on the old ones"),
            ),
            Reading(
                what="thickness",
                subject="rotors",
                state="done",
                job=brakes,
                verdict="within",
                measure=measure("ten point two", "mm", 10.2),
                evidence=ev("rotors measured ten point two"),
            ),
            Reading(
                what="torque",
                subject="wheel nuts",
                state="done",
                job=brakes,
                measure=measure("a hundred", "ftlb", 100),
                evidence=ev("wheel nuts to a hundred"),
            ),
            Reading(
                what="thickness",
                subject="rotor limit",
                state="advice",
                job=brakes,
                measure=measure("the limit cast in them is ten", "mm", 10),
                evidence=ev("the limit cast in them is ten"),
            ),
        ),
        sizes=(
            Size(
                subject="compressor bolts",
                text="13-14 mm",
                measure=measure("thirteen or fourteen millimeter", "mm", 13, 14, approximate=True),
                evidence=ev("they're thirteen or fourteen millimeter"),
            ),
            Size(
                subject="wrench",
                text="5/8 in",
                measure=measure("five eighths", "in", 0.625),
                evidence=ev("five eighths wrench"),
            ),
            Size(subject="caliper bracket", text="M12x1.25", evidence=ev("m twelve by one twenty five")),
        ),
        actions=(
            Action(
                verb="recover",
                component="refrigerant",
                id="r134a",
                state="done",
                job=compressor,
                evidence=ev("recovered one point one pounds"),
            ),
            Action(
                verb="fit",
                component="compressor",
                id="ac-compressor",
                state="done",
                job=compressor,
                evidence=ev("new compressor on"),
            ),
            Action(
                verb="leak-test",
                component="fittings",
                state="done",
                job=compressor,
                evidence=ev("ran the sniffer around every fitting"),
            ),
            Action(
                verb="fit",
                component="brake pads",
                id="brake-pad",
                position="rear",
                state="done",
                job=brakes,
                evidence=ev("one set of pads"),
            ),
            Action(
                verb="replace",
                component="condenser",
                id="condenser",
                state="not_done",
                job=compressor,
                evidence=ev("the condenser is clean so i left that alone"),
            ),
            Action(
                verb="bleed", component="brakes", state="planned", job=brakes, evidence=ev("i'll bleed it tomorrow")
            ),
            Action(
                verb="hang",
                component="caliper",
                state="advice",
                job=None,
                evidence=ev("you never want to let the caliper hang on the hose"),
            ),
            Action(
                verb="replace",
                component="condenser",
                id="condenser",
                state="elsewhere",
                job=None,
                evidence=ev("we did a condenser on his wife's car last summer"),
            ),
        ),
        labour=(
            Labour(
                job=None,
                basis="said",
                measure=measure("about two and a half hours", "h", 2.5, approximate=True),
                evidence=ev("all in it took about two and a half hours"),
            ),
            Labour(
                job=brakes,
                basis="inferred",
                measure=measure("i'll bleed it tomorrow", "min", 31),
                evidence=ev("then the rear brakes"),
            ),
        ),
        findings=(
            Finding(
                kind="complaint",
                text="blows cold for a minute then warm and something growls",
                evidence=ev("blows cold for a minute then warm and something growls"),
            ),
            Finding(kind="cause", text="clutch bearing is rough", evidence=ev("clutch bearing is rough")),
            Finding(kind="fault", text="belt is cracked", evidence=ev("belt is cracked")),
            Finding(kind="observation", text="the condenser is clean", evidence=ev("the condenser is clean")),
        ),
        deferred=(
            Deferred(
                kind="declined",
                text="belt with the next oil change",
                evidence=ev("he said do it with the next oil change"),
            ),
            Deferred(kind="promised", text="bleed the brakes tomorrow", evidence=ev("i'll bleed it tomorrow")),
        ),
        balances=(
            Balance(
                substance="PAG oil",
                verdict="balanced",
                out=Measure(low=3.5, high=3.5, unit="floz", approximate=True, text="3 and about 0.5"),
                in_=measure("three and a half ounces", "floz", 3.5),
                difference=Measure(low=0, high=0, unit="floz", approximate=True, text="0"),
                reason="3 and about 0.5 came out, 3.5 went in",
                evidence=ev("poured three and a half ounces of pag forty six back in"),
            ),
            Balance(
                substance="refrigerant R-134a",
                verdict="over",
                out=measure("one point one pounds", "lb", 1.1),
                in_=measure("one point six pounds", "lb", 1.6),
                difference=Measure(low=-0.5, high=-0.5, unit="lb", text="-0.5"),
                reason="0.5 lb more went in than came out; it was low when it came",
                evidence=ev("charged one point six pounds by the scale"),
            ),
            Balance(
                substance="brake fluid",
                verdict="cannot tell",
                reason="no amount is said",
                evidence=ev("i'll bleed it tomorrow"),
            ),
        ),
        gaps=(
            Gap(
                job=compressor,
                step="hold: vacuum held",
                kind="missing",
                severity="must",
                message="A charge is told, and no vacuum hold.",
                question="How long did the vacuum hold with the pump off, and did it rise?",
            ),
            Gap(
                job=brakes,
                step="bleed: brakes bled",
                kind="promised only",
                severity="must",
                message="Bleeding is promised for the next day.",
                question="Have the brakes been bled, and with which fluid?",
                evidence=ev("i'll bleed it tomorrow"),
            ),
            Gap(
                job=compressor,
                step="oil: oil balance",
                kind="contradicted",
                severity="must",
                message="Two ounces and three ounces are both said.",
                question="Did two or three ounces come out of the old compressor?",
                evidence=ev("two no wait three ounces of oil"),
            ),
            Gap(
                job=compressor,
                step="vent: vent temperature",
                kind="missing",
                severity="should",
                message="No vent temperature is told.",
                question="What did the centre vent read at the end?",
            ),
        ),
        unknown=(Unknown(text="blue snot", evidence=ev("blue snot")),),
        cautions=(
            Caution(text="Recover refrigerant; never let it go to the air.", source="40 CFR 82.154"),
            Caution(text="Pump the pedal before the vehicle is moved.", source="common practice, no source"),
        ),
    )


def bare_sheet(narrative: str = "well that was a day") -> Sheet:
    """A sheet of notes in which nothing was recognised."""
    return Sheet(
        source=Source(
            name=None, sha256=hashlib.sha256(narrative.encode()).hexdigest(), kind="text", words=len(narrative.split())
        ),
        narrative=narrative,
        trade="light-vehicle",
        vehicle=Vehicle(),
    )


HOSTILE = "<script>alert('x')</script> & \x1b[31mred\x00 \ufffe {{ 7*7 }} [bold]b[/bold] =1+1 ‮evil"


def hostile_sheet() -> Sheet:
    """A sheet whose every text tries to break out of the document that it is written in."""
    narrative = HOSTILE + "\n@SUM(A1)\n-3 degrees\n+1 555 0100"

    def at(quote: str) -> tuple[Evidence, ...]:
        start = narrative.index(quote)
        return (Evidence(start=start, end=start + len(quote), quote=quote),)

    cold = Measure(low=-3, high=-3, unit="degC", text="-3 degrees", evidence=at("-3 degrees"))
    return Sheet(
        source=Source(
            name=HOSTILE,
            sha256=hashlib.sha256(narrative.encode()).hexdigest(),
            kind=HOSTILE,
            words=9,
            notices=(Notice(message=HOSTILE),),
        ),
        narrative=narrative,
        trade="light-vehicle",
        vehicle=Vehicle(make=HOSTILE, plate="=2+3", evidence=at(HOSTILE)),
        jobs=(
            Job(
                id="j",
                title=HOSTILE,
                evidence=at(HOSTILE),
                steps=(Step(id="s", label=HOSTILE, requirement="must", state="not recorded", reason=HOSTILE),),
            ),
        ),
        parts=(
            Part(id="p", name="@SUM(A1)", number="1E5", state="done", job="j", evidence=at("@SUM(A1)")),
            Part(id="p", name="+1 555 0100", number="-00123", quantity=2, state="done", evidence=at("+1 555 0100")),
            Part(id="p", name="\tpart", number="00123", state="done", evidence=at("@SUM(A1)")),
        ),
        readings=(
            Reading(what="temperature", subject="-3 degrees", measure=cold, state="done", evidence=at("-3 degrees")),
        ),
        findings=(Finding(text=HOSTILE, kind="complaint", evidence=at(HOSTILE)),),
        gaps=(Gap(step=HOSTILE, kind="unclear", severity="should", message=HOSTILE, question=HOSTILE),),
        unknown=(Unknown(text=HOSTILE, evidence=at(HOSTILE)),),
        cautions=(Caution(text=HOSTILE, source=HOSTILE),),
    )
