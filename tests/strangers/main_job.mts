// The main job, with types generated from the contract: store a site, plan its week, read the
// work. Arguments: address, key, file with a scenario.
import { readFile } from "node:fs/promises";
import { setTimeout } from "node:timers/promises";
import createClient from "openapi-fetch";
import type { components, paths } from "./contract.js";

type Schemas = components["schemas"];

const [root, key, file] = process.argv.slice(2);
const scenario: Schemas["Scenario"] = JSON.parse(await readFile(file, "utf8"));
const client = createClient<paths>({
  baseUrl: root,
  headers: { Authorization: `Bearer ${key}` },
});

function well<T>(answer: { data?: T; error?: unknown; response: Response }, status: number): T {
  if (answer.response.status !== status || answer.data === undefined) {
    throw new Error(`${answer.response.status}: ${JSON.stringify(answer.error)}`);
  }
  return answer.data;
}

const site = scenario.site.id;
const at = { path: { site } };
well(await client.POST("/v1/sites", { body: scenario.site }), 201);
const setup = { setup: scenario.setup, policy: scenario.policy };
well(await client.PUT("/v1/sites/{site}/setup", { params: at, body: setup }), 201);
const start = scenario.horizon.start;
const count = { reference: "first", at: start, stock: scenario.stock };
well(await client.POST("/v1/sites/{site}/stock/counts", { params: at, body: count }), 201);
const range = { from: "2026-05-01T00:00:00Z", to: "2026-07-01T00:00:00Z" };
const demand = well(
  await client.PUT("/v1/sites/{site}/demand", {
    params: { ...at, query: range },
    body: { demand: scenario.demand },
  }),
  200,
);
if (demand.demand.length !== scenario.demand.length) throw new Error("lines are lost");
let plan: Schemas["PlanResource"] = well(
  await client.POST("/v1/sites/{site}/plans", {
    params: { ...at, header: { "Idempotency-Key": "week" } },
    body: { start, days: 7, grid_minutes: 30 },
  }),
  202,
);
const until = Date.now() + 120_000;
while (plan.state === "queued" || plan.state === "running") {
  if (Date.now() > until) throw new Error(plan.state);
  await setTimeout(200);
  const path = { plan: plan.id };
  plan = well(await client.GET("/v1/plans/{plan}", { params: { path } }), 200);
}
if (plan.state !== "done") throw new Error(plan.state);
const { work } = well(
  await client.GET("/v1/plans/{plan}/work", { params: { path: { plan: plan.id } } }),
  200,
);
const boils = work.filter((item) => item.kind === "boil");
// The kind tells the type: only a boil has a temperature to heat to.
if (boils.length === 0 || boils.some((boil) => boil.heat_to_c < 50)) throw new Error("no boils");
console.log(work.length, "work items");
