"""Tokens as they were heard -> tokens as they were meant; every place stays what it was in the narrative."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from narrate.core.handoffs import Passage, Token
from narrate.hear.speech.fillers import drop_fillers
from narrate.hear.speech.homophones import mend_sounds
from narrate.hear.speech.lines import join_wrapped
from narrate.hear.speech.pauses import weigh_pauses
from narrate.hear.speech.side_letters import read_side_letters


def repair_speech(passage: Passage, tokens: Sequence[Token], words: Mapping[str, Collection[str]]) -> tuple[Token, ...]:
    """Weigh the ends of lines and captions, drop breath and slips, mend words that only sound like those meant,
    and read the letters of sides.

    `words` are the lexicon's word lists by id. Tokens that stay keep their text, start and end.
    """
    tokens = join_wrapped(passage, tokens)
    tokens = weigh_pauses(passage, tokens, words.get("hanging", ()), words.get("number-word", ()))
    return read_side_letters(mend_sounds(drop_fillers(tokens, words)))
