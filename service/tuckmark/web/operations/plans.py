"""Operations that show plans."""

from typing import Final

from tuckmark.render.views import PLAN, VIEWS
from tuckmark.web import handlers, plan_parameters, viewing
from tuckmark.web.pages import home, policy
from tuckmark.web.table import MINUTE_S, Operation

_OFFERS: Final = tuple(dict.fromkeys(kind for view in VIEWS.values() for kind in view.media_types))

ROWS: Final = (
    Operation(
        id="make_plan",
        method="POST",
        path="/v1/plans",
        tag="plans",
        summary="Plan the splices of a rope",
        description="Takes a splice spec and answers with the marks, lengths, steps, warnings and "
        "cautions to make it by. The same spec always gives the same bytes. A plan whose `usable` "
        "is false breaks a rule of the trade and is not to be spliced from.",
        handler=viewing.show_plan,
        answer="PlanAnswer",
        success="The plan.",
        offers=_OFFERS,
        offers_for=viewing.offers,
        file_name=viewing.file_name,
        problems=("spec_invalid", "not_plannable", "plan_stopped"),
        parameters=plan_parameters.OF_SPEC,
        takes="SpliceSpec",
    ),
    Operation(
        id="show_packed_plan",
        method="GET",
        path="/v1/plans/{packed}",
        tag="plans",
        summary="The plan of a self-contained address",
        description="The address holds the whole spec, so that paper and label printers can ask "
        "for the plan without keeping it. An address is the data: whoever has it, has the spec.",
        handler=viewing.show_plan,
        answer="PlanAnswer",
        success="The plan.",
        offers=VIEWS[PLAN].media_types,
        offers_for=viewing.offers,
        file_name=viewing.file_name,
        problems=("not_found", "document_unreadable", "spec_invalid", "not_plannable"),
        parameters=plan_parameters.OF_ADDRESS,
        packed=True,
        open=("packed",),
    ),
    Operation(
        id="show_packed_view",
        method="GET",
        path="/v1/plans/{packed}/{view}",
        tag="plans",
        summary="A view of the plan of a self-contained address",
        description="What of the plan is to be shown: "
        + ", ".join(name for name in VIEWS if name != PLAN)
        + ". Each has its own formats; ask for one with format or Accept.",
        handler=viewing.show_plan,
        answer="MarkTable",
        success="The view.",
        offers=_OFFERS,
        offers_for=viewing.offers,
        file_name=viewing.file_name,
        problems=(
            "not_found",
            "document_unreadable",
            "spec_invalid",
            "not_plannable",
            "plan_stopped",
        ),
        parameters=plan_parameters.OF_VIEW,
        packed=True,
        open=("packed",),
    ),
    Operation(
        id="validate",
        method="POST",
        path="/v1/validations",
        tag="plans",
        summary="Check a splice spec",
        description="Says whether the published schema accepts the document and whether a plan "
        "exists for it, with every fault found, in document order. Any JSON is judged.",
        handler=handlers.validate,
        answer="ValidationReport",
        success="The verdict, good or bad.",
        takes="AnyJson",
    ),
    Operation(
        id="show_page",
        method="GET",
        path="/",
        tag="plans",
        summary="The page with the form",
        description="A page on which a person fills a short form, or pastes a spec, and sees the "
        "sheet. A program that asks for JSON gets the links to everything, as in the catalogue.",
        handler=home.show,
        answer="ApiCatalog",
        success="The page, or the links.",
        offers=home.OFFERS,
        headers=policy.FORM,
        fresh_for_s=MINUTE_S,
        open=("page",),
    ),
)
