"""Questions to the person who did the work, and the answers as further words of the narrative.

In: a narrative that the book holds. Out: which questions are open, most urgent first; and, for answers in free words,
the next revision of its sheet. Answers come from a conversation in the terminal or from a file.
"""

from narrate.serve.ask.converse import Screen, converse
from narrate.serve.ask.forms import read_answers, write_questions
from narrate.serve.ask.questions import FIRST, Question, open_questions
from narrate.serve.ask.record import Case, add_answers, compile_added, open_case

__all__ = [
    "FIRST",
    "Case",
    "Question",
    "Screen",
    "add_answers",
    "compile_added",
    "converse",
    "open_case",
    "open_questions",
    "read_answers",
    "write_questions",
]
