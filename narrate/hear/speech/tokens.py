"""The splitter, as the hearing room offers it; it lives in core because the lexicon's own phrases go through it too."""

from narrate.core.tokens import split_words

__all__ = ["split_words"]
