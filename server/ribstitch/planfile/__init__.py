"""Plan files: a plan as plain JSON that can be kept, mailed, compared and checked."""

from ribstitch.planfile.errors import PlanFileError
from ribstitch.planfile.reading import dump_plan, parse_plan, plan_document, read_plan_file

__all__ = ["PlanFileError", "dump_plan", "parse_plan", "plan_document", "read_plan_file"]
