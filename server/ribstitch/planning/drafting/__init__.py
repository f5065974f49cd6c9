"""The planner: a plan out of an evaluation, and a new draft into a plan that is under way.

`draft_plan` turns findings, method cards and standing jobs into tasks, links, send-outs,
risks and allowances; `merge` holds such a draft against the plan and against what was
drafted last, and says what becomes of each thing.
"""

from ribstitch.planning.drafting.draft import Assumptions, Drafted, draft_plan
from ribstitch.planning.drafting.jobs import Job, Work, list_jobs
from ribstitch.planning.drafting.merging import Merge, Step, decide, merge, merged
from ribstitch.planning.drafting.problems import Problem

__all__ = [
    "Assumptions",
    "Drafted",
    "Job",
    "Merge",
    "Problem",
    "Step",
    "Work",
    "decide",
    "draft_plan",
    "list_jobs",
    "merge",
    "merged",
]
