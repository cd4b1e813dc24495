// Lints an OpenAPI document by the strict set of rules: node lint.mjs openapi.json.
// Every finding is printed with its rule and JSON Pointer; any makes it fail.
import { createConfig, lint } from "@redocly/openapi-core";

// Two rules of the set do not fit. A licence: the program has none to state.
// A 4XX response of every operation: probes and metrics take what they are given.
const config = await createConfig({
  extends: ["recommended-strict"],
  rules: { "info-license": "off", "info-license-url": "off", "operation-4xx-response": "off" },
});
const found = await lint({ ref: process.argv[2], config });
for (const p of found) {
  console.log(`${p.severity} ${p.ruleId} ${p.location[0]?.pointer ?? ""}: ${p.message}`);
}
console.log(`${found.length} findings`);
process.exit(found.length > 0 ? 1 : 0);
