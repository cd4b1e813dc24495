// A client made from the OpenAPI document: types by openapi-typescript, requests
// by openapi-fetch. It simulates a request and prints what it got; then it makes
// the same request with too many modules, and prints where the fault is.
import createClient from "openapi-fetch";
import { readFileSync } from "node:fs";
import type { components, paths } from "./openapi.js";

const [server, file] = process.argv.slice(2);
const client = createClient<paths, "application/json" | "application/problem+json">({ baseUrl: server });
const body: components["schemas"]["Request"] = JSON.parse(readFileSync(file!, "utf8"));

const { data, error } = await client.POST("/v1/simulations", { params: { query: { detail: "months" } }, body });
if (!data) throw new Error(error.detail);

const wrong = await client.POST("/v1/simulations", { body: { ...body, bank: { ...body.bank, modules: 99 } } });
const fault: string | undefined = wrong.error?.faults[0]?.pointer;

console.log(JSON.stringify({ downtime_h: data.figures.downtime_h, months: data.months?.length, fault }));
