"""Answers given after the narrative -> facts, and what each answer makes of the step that it was asked about.

In: the facts of the narrative with its additions joined to it, and what was asked. Out: the facts with each answer read
in its question's context, and for each asked step a `Replied`, which counts where the words alone do not meet the step.
"""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Facts
from narrate.core.lexicon.lexicon import Lexicon
from narrate.reckon.evidence import RuleBook
from narrate.reckon.replies.asked import Added, Asked, Replied, join_added
from narrate.reckon.replies.bind import Gather, read_answer
from narrate.reckon.replies.judge import Replies, find_rule, judge_reply
from narrate.reckon.replies.leads import find_leads, unit_leads
from narrate.reckon.replies.settle import settle_replies

__all__ = ["Added", "Asked", "Replied", "Replies", "join_added", "read_replies", "settle_replies"]


def read_replies(
    facts: Facts, asked: Sequence[Asked], lexicon: Lexicon, book: RuleBook, gather: Gather
) -> tuple[Facts, Replies]:
    """The facts with every answer read in its context, and what the answers come to by themselves.

    `gather` reads a text as facts, by the same lexicon and from the day that relative dates count from. Additions with
    no question are read as they stand.
    """
    rules = {one: find_rule(one.added, book) for one in asked if one.added.step is not None}
    for one, rule in rules.items():
        groups = find_leads(rule, lexicon) if rule is not None else unit_leads(one.added.step_id)
        facts = read_answer(facts, one, groups, lexicon, gather)
    return facts, Replies(tuple(judge_reply(facts, one, rule, lexicon, book) for one, rule in rules.items()))
