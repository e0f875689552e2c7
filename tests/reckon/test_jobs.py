"""Which jobs it was: told from what was done, on facts made by hand."""

from __future__ import annotations

from narrate.reckon.jobs import tell_jobs
from tests.reckon.by_hand import Telling, book

STEP = {"id": "swap", "label": "changed", "level": "must", "met_by": [{"fitted": "any"}], "ask": "Was it changed?"}


def job(name: str, **more: object) -> dict[str, object]:
    return {"id": name, "title": name, "steps": [STEP], "who": "anyone", **more}


RULES = book(
    {
        "jobs": [
            job(
                "compressor-job",
                starts=[{"part": "compressor"}],
                heads=["compressor"],
                covers=["gas", "o-ring", "drier"],
            ),
            job(
                "recharge",
                starts=[{"amount": "in", "of": "gas"}],
                part_of=["compressor-job"],
                own_work=["own line"],
                covers=["gas"],
            ),
            job("pads", starts=[{"part": "pad"}], heads=["pad"], split="axle", title="{axle} {parts} replacement"),
            job("other", kind="replacement", title="{part} replacement"),
            job("look", kind="diagnosis", title="Diagnosis: {complaint}", starts=["diagnosed"]),
        ]
    }
)


def ids(told: Telling) -> list[str]:
    return [hit.id for hit in tell_jobs(told.done(), RULES)]


def test_what_went_in_makes_the_job() -> None:
    assert ids(Telling("fitted a compressor").part("compressor", "compressor")) == ["compressor-job"]


def test_a_plan_makes_none() -> None:
    assert ids(Telling(("will fit a compressor", "planned")).part("compressor", "compressor")) == []


def test_part_of_a_bigger_job_is_no_line_of_its_own() -> None:
    told = Telling("fitted a compressor", "charged 21 oz").part("compressor", "compressor")
    told.moved("in", "gas", 21, "oz", "21 oz")
    assert ids(told) == ["compressor-job"]


def test_unless_it_was_asked_for_as_its_own_work() -> None:
    told = Telling("fitted a compressor", "charged 21 oz on its own line").part("compressor", "compressor")
    assert ids(told.moved("in", "gas", 21, "oz", "21 oz")) == ["compressor-job", "recharge"]


def test_both_axles_are_two_lines() -> None:
    told = Telling("new front pads", "new rear pads")
    told.part("pad", "front pads", "front").part("pad", "rear pads", "rear")
    hits = tell_jobs(told.done(), RULES)
    assert [(h.id, h.title) for h in hits] == [
        ("pads-front", "Front brake pad replacement"),
        ("pads-rear", "Rear brake pad replacement"),
    ]


def test_a_part_that_no_job_knows_still_gets_a_line() -> None:
    told = Telling("fitted a compressor", "and a wiper motor").part("compressor", "compressor")
    told.part("wiper", "wiper motor")
    assert ids(told) == ["compressor-job", "replace-wiper"]


def test_a_seal_makes_a_line_only_where_nothing_else_does() -> None:
    told = Telling("fitted a compressor", "two o-rings").part("compressor", "compressor").part("o-ring", "o-rings")
    assert ids(told) == ["compressor-job"]
    assert ids(Telling("one o-ring").part("o-ring", "o-ring")) == ["replace-o-ring"]


def test_only_tested_is_a_diagnosis() -> None:
    told = Telling("it goes dead overnight", "tested the draw").act("test", None, "tested")
    told.noted("complaint", "goes dead overnight")
    hits = tell_jobs(told.done(), RULES)
    assert [(h.id, h.title) for h in hits] == [("look", "Diagnosis: goes dead overnight")]


def test_facts_go_to_the_job_that_covers_them() -> None:
    told = Telling("fitted a compressor", "charged 21 oz", "new front pads", "pads were 2 mm")
    told.part("compressor", "compressor").moved("in", "gas", 21, "oz", "21 oz")
    told.part("pad", "front pads", "front").read("thickness", "pad", 2, "mm", "2 mm")
    first, second = tell_jobs(told.done(), RULES)
    assert first.facts == {"fitted": (0,), "moved": (0,)}
    assert second.facts == {"fitted": (1,), "measured": (0,)}
