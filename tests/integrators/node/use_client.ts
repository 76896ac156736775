// What a user of the generated TypeScript types writes; type-checked and run by test_clients.py.
import { readFileSync } from "node:fs";
import createClient from "openapi-fetch";
import type { components, paths } from "./api.js";

type Spec = components["schemas"]["SpliceSpec"];

const client = createClient<paths>({
  baseUrl: process.argv[2],
  querySerializer: { array: { style: "form", explode: false } },
});
const spec: Spec = JSON.parse(readFileSync(process.argv[3], "utf8"));

const made = await client.POST("/v1/plans", {
  params: { query: { fields: ["marks", "lengths"] } },
  body: spec,
});
const plan = made.data;
if (typeof plan !== "object" || !("lengths" in plan) || !plan.lengths || !plan.marks) {
  throw new Error(JSON.stringify(made.error)); // without format it is JSON, with these two keys
}
console.log(plan.lengths.cut && "mm" in plan.lengths.cut ? plan.lengths.cut.mm : null);
console.log(plan.marks.slice(0, 3).map((mark) => mark.id).join(", "));

const shorter: Spec = { ...spec, length: { finished: "1 m" } };
const report = await client.POST("/v1/validations", { body: shorter });
console.log(report.data?.valid, report.data?.plannable);

const refused = await client.POST("/v1/plans", { body: shorter });
if (!refused.error) throw new Error("a plan where there can be none");
console.log(refused.error.status, refused.error.errors[0].code);

const entry = await client.GET("/problems/{code}", {
  params: { path: { code: refused.error.errors[0].code } },
});
if (!entry.data || typeof entry.data === "string") {
  throw new Error("a page, where JSON was asked for"); // a page is for browsers that ask for one
}
console.log(entry.data.fix);
