// A client made from the OpenAPI document: types by openapi-typescript with
// --default-non-nullable=false (a request may leave out what has a default), requests
// by openapi-fetch. It simulates a request, as figures and as a table of hours; makes
// it with two faults; compares it with three modules; waits for a study of it, opens
// a run and simulates that with a larger array; uploads its weather and simulates with the id. It prints what it got.
import createClient from "openapi-fetch";
import { readFileSync } from "node:fs";
import type { components, paths } from "./openapi.js";

const [server, file] = process.argv.slice(2);
const client = createClient<paths, "application/json" | "application/problem+json">({ baseUrl: server });
const body: components["schemas"]["Request"] = JSON.parse(readFileSync(file!, "utf8"));

const { data, error } = await client.POST("/v1/simulations", { params: { query: { detail: "months" } }, body });
if (!data) throw new Error(error.detail);

const wrong = await client.POST("/v1/simulations", { body: { ...body, bank: { ...body.bank, modules: 99, initial_soc_fraction: 3 } } });
const faults: string[] | undefined = wrong.error?.faults.map((f) => f.pointer ?? "");

const hours = await client.POST("/v1/simulations", { headers: { Accept: "text/csv" }, body, parseAs: "text" });

const compared = await client.POST("/v1/comparisons", { body: { base: body, candidates: { three: { bank: { modules: 3 } } } } });

const study = await client.POST("/v1/studies", { body: { base: body, kind: "sweep", axes: [{ path: "bank.modules", numbers: [2, 3] }] } });
if (!study.data?.id) throw new Error(study.error?.detail);
const id = study.data.id;
// The events end when the study does.
await client.GET("/v1/studies/{id}/events", { params: { path: { id } }, parseAs: "text" });
const over = await client.GET("/v1/studies/{id}", { params: { path: { id } } });
const run = await client.GET("/v1/studies/{id}/runs/{run}", { params: { path: { id, run: 1 } } });
if (!run.data) throw new Error(run.error?.detail);
const { request } = run.data;
const larger = await client.POST("/v1/simulations", { body: { ...request, array: { ...request.array, planes: { roof: { ...request.array.planes!.roof!, rated_kw: 9 } } } } });

const weather = await client.POST("/v1/weather", { body: { site: body.site!, ...body.weather } });
const byId = await client.POST("/v1/simulations", { body: { ...body, weather: { id: weather.data?.id } } });

console.log(JSON.stringify({
  downtime_h: data.figures.downtime_h, months: data.months?.length, lines: hours.data?.trim().split("\n").length, faults,
  compared: compared.data?.candidates.map((c) => c.answer.figures.downtime_h),
  study: over.data?.state, run: run.data.assignments, modules: request.bank.modules, larger: larger.data?.figures.downtime_h ?? larger.error?.detail, by_id: byId.data?.figures.downtime_h ?? byId.error?.detail,
}));
