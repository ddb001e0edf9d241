"""The main job, with a client generated from the contract: store a site, plan its week, read the
work. Arguments: address, key, file with a scenario."""

import json
import sys
import time

from fizzwright_client.client import AuthenticatedClient
from fizzwright_client.api.demand import list_demand, replace_demand
from fizzwright_client.api.plans import read_plan, request_plan
from fizzwright_client.api.setup import replace_setup
from fizzwright_client.api.sites import create_site
from fizzwright_client.api.stock import read_stock, record_stock_count
from fizzwright_client.api.work import list_plan_work
from fizzwright_client.models import (
    Count,
    DemandList,
    PlanRequest,
    SetupDocument,
    Site,
    WorkList,
)

root, key, path = sys.argv[1:]
scenario = json.load(open(path, encoding="utf-8"))
client = AuthenticatedClient(base_url=root, token=key, raise_on_unexpected_status=True)


def well(response, status):
    assert response.status_code == status, (response.status_code, response.content[:500])
    return response.parsed


site = Site.from_dict(scenario["site"])
created = well(create_site.sync_detailed(client=client, body=site), 201)
assert created == site, created
name = scenario["site"]["id"]
setup = SetupDocument.from_dict({"setup": scenario["setup"], "policy": scenario["policy"]})
well(replace_setup.sync_detailed(name, client=client, body=setup), 201)
start = scenario["horizon"]["start"]
count = Count.from_dict({"reference": "first", "at": start, "stock": scenario["stock"]})
well(record_stock_count.sync_detailed(name, client=client, body=count), 201)
stock = well(read_stock.sync_detailed(name, client=client), 200)
assert stock.stock.ice_kg == scenario["stock"]["ice_kg"]
lines = DemandList.from_dict({"demand": scenario["demand"]})
well(
    replace_demand.sync_detailed(
        name,
        client=client,
        body=lines,
        from_=lines.demand[0].due.replace(year=2026, month=5, day=1),
        to=lines.demand[0].due.replace(year=2026, month=7, day=1),
    ),
    200,
)
listed = well(list_demand.sync_detailed(name, client=client), 200)
assert len(listed.demand) == len(scenario["demand"])
wanted = PlanRequest.from_dict({"start": start, "days": 7, "grid_minutes": 30})
plan = well(
    request_plan.sync_detailed(name, client=client, body=wanted, idempotency_key="week"), 202
)
again = well(
    request_plan.sync_detailed(name, client=client, body=wanted, idempotency_key="week"), 202
)
assert again.id == plan.id
until = time.monotonic() + 120
while plan.state in ("queued", "running"):
    assert time.monotonic() < until, plan.state
    time.sleep(0.2)
    plan = well(read_plan.sync_detailed(plan.id, client=client), 200)
assert plan.state == "done", plan.state
work = well(list_plan_work.sync_detailed(plan.id, client=client), 200)
assert isinstance(work, WorkList), work
kinds = {item.kind for item in work.work}
assert {"boil", "fill", "gas", "tap"} <= {str(getattr(kind, "value", kind)) for kind in kinds}, kinds
assert all(item.start <= item.end for item in work.work)
print(len(work.work), "work items")
