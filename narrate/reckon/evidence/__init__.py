"""What procedures ask, and what was told -> proofs.

In: Facts of one narrative and the trade's RuleBook. Out: for any list of clues, the places that meet them (`Weigher`).
Telling jobs and reconciling steps both ask here, so that one question has one answer.
"""

from narrate.reckon.evidence.book import Planned, RuleBook, build_book
from narrate.reckon.evidence.levels import with_levels
from narrate.reckon.evidence.refers import loose_ends
from narrate.reckon.evidence.told import Proof, Told, outermost
from narrate.reckon.evidence.unsound import faults_in_procedures
from narrate.reckon.evidence.weigh import Weigher, axle_of

__all__ = [
    "Planned", "Proof", "RuleBook", "Told", "Weigher", "axle_of", "build_book", "faults_in_procedures", "loose_ends",
    "outermost", "with_levels",
]  # fmt: skip
