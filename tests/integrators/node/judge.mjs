// Judges JSON documents, one a line on standard input, by the schema file named: 1 good, 0 not.
import { readFileSync } from "node:fs";
import { createInterface } from "node:readline";
import Ajv from "ajv/dist/2020.js";

const ajv = new Ajv({ strict: true });
const accepts = ajv.compile(JSON.parse(readFileSync(process.argv[2], "utf8")));
const verdicts = [];
for await (const line of createInterface({ input: process.stdin })) {
  verdicts.push(accepts(JSON.parse(line)) ? "1" : "0");
}
console.log(verdicts.join(""));
