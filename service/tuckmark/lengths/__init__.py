"""Both ends and the body between them: finished length to cut length, and back."""

from tuckmark.lengths.assembly import Assembly, Target, as_asked, assemble_ends, bedding_in_of
from tuckmark.lengths.joins import assemble_join, laid_flat_inside, loop_figures
from tuckmark.lengths.planning import plan_lengths
from tuckmark.lengths.resplice import plan_resplice

__all__ = [
    "Assembly",
    "Target",
    "as_asked",
    "assemble_ends",
    "assemble_join",
    "bedding_in_of",
    "laid_flat_inside",
    "loop_figures",
    "plan_lengths",
    "plan_resplice",
]
