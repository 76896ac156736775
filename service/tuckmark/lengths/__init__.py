"""Both ends and the body between them: finished length to cut length, and back."""

from tuckmark.lengths.assembly import Assembly, Target, assemble_ends, bedding_in_of
from tuckmark.lengths.joins import assemble_join, laid_flat_inside, loop_figures
from tuckmark.lengths.planning import plan_lengths
from tuckmark.lengths.resplice import plan_resplice

__all__ = [
    "Assembly",
    "Target",
    "assemble_ends",
    "assemble_join",
    "bedding_in_of",
    "laid_flat_inside",
    "loop_figures",
    "plan_lengths",
    "plan_resplice",
]
