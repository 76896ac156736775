"""What a user of the generated Python client writes; type-checked and run by ``test_clients``."""

import json
import sys
from pathlib import Path

from loft_client import Client
from loft_client.api.plans import make_plan, validate
from loft_client.api.running import show_problem
from loft_client.models import Problem, ProblemEntry, SplicePlan, SpliceSpec, ValidationReport

client = Client(base_url=sys.argv[1])
document = json.loads(Path(sys.argv[2]).read_text("utf-8"))

plan = make_plan.sync(client=client, body=SpliceSpec.from_dict(document))
assert isinstance(plan, SplicePlan)
assert plan.usable
assert plan.lengths.cut is not None  # null where the spec gives no length
print(plan.lengths.cut.mm)
print(", ".join(mark.id for mark in plan.marks[:3]))

document["length"] = {"finished": "1 m"}
report = validate.sync(client=client, body=SpliceSpec.from_dict(document))
assert isinstance(report, ValidationReport)
assert report == validate.sync(client=client, body=document)  # takes any JSON as well
print(report.valid, report.plannable)

refused = make_plan.sync(client=client, body=SpliceSpec.from_dict(document))
assert isinstance(refused, Problem)
print(refused.status, refused.errors[0].code)

entry = show_problem.sync(refused.errors[0].code, client=client)
assert isinstance(entry, ProblemEntry)
print(entry.fix)
