"""Many narratives in, and which steps of which jobs are on record: sums, rates, samples, comparisons, and the words.

    tally = Tally(Policy())
    run_audit(Plan((find_source("march.jsonl"),), workers=2), tally)

Each narrative is compiled by itself, in any process, here or on a cluster; its result is one line. Sums and files are
made from those lines alone, in the order of the input, so that they are equal however the work was shared.
"""

from narrate.serve.audit.items import find_source
from narrate.serve.audit.policy import Policy, read_policy
from narrate.serve.audit.run import Plan, run_audit
from narrate.serve.audit.tally import Tally

__all__ = ["Plan", "Policy", "Tally", "find_source", "read_policy", "run_audit"]
