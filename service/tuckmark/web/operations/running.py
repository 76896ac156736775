"""Operations that say how the service does and what its codes mean."""

from typing import Final

from tuckmark.web import handlers, meters
from tuckmark.web.pages import policy, reading
from tuckmark.web.table import HOUR_S, Operation, Parameter

ROWS: Final = (
    Operation(
        id="show_liveness",
        method="GET",
        path="/livez",
        tag="running",
        summary="Is the process alive",
        description="Answers as long as the process does.",
        handler=handlers.show_liveness,
        answer="Health",
        success="It is.",
        open=("health",),
    ),
    Operation(
        id="show_readiness",
        method="GET",
        path="/readyz",
        tag="running",
        summary="Can it plan",
        description="Plans a published example and says whether that went well. Says no as soon as "
        "the service is told to stop.",
        handler=handlers.show_readiness,
        answer="Health",
        success="It can.",
        problems=("not_ready", "stopping"),
        open=("health",),
    ),
    Operation(
        id="show_metrics",
        method="GET",
        path="/metrics",
        tag="running",
        summary="What was counted",
        description="Counters and times of all workers, in the text format of Prometheus. Routes "
        "are named by their template.",
        handler=handlers.show_metrics,
        answer=None,
        success="The figures.",
        offers=(meters.MEDIA_TYPE,),
        problems=("not_metered",),
    ),
    Operation(
        id="list_problems",
        method="GET",
        path="/problems",
        tag="running",
        summary="Every code explained",
        description="Codes of problems and faults, of warnings and cautions, with what to do.",
        handler=reading.also("problems.html", handlers.list_problems),
        offers=reading.OFFERS,
        headers=policy.READING,
        answer="ProblemList",
        success="The codes.",
        fresh_for_s=HOUR_S,
        open=("problems",),
    ),
    Operation(
        id="show_problem",
        method="GET",
        path="/problems/{code}",
        tag="running",
        summary="One code explained",
        description="What a code means and what to do about it.",
        handler=reading.also("problem.html", handlers.show_problem),
        offers=reading.OFFERS,
        headers=policy.READING,
        answer="ProblemEntry",
        success="The code.",
        problems=("not_found",),
        parameters=(Parameter("code", "path", "The code.", "name", "not_plannable"),),
        fresh_for_s=HOUR_S,
        open=("problems",),
    ),
)
