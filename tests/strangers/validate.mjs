// Says whether a file is a valid OpenAPI document.
import { Validator } from "@seriousme/openapi-schema-validator";
import { readFile } from "node:fs/promises";

const validator = new Validator();
const result = await validator.validate(JSON.parse(await readFile(process.argv[2], "utf8")));
if (!result.valid) {
  console.error(JSON.stringify(result.errors, null, 1).slice(0, 4000));
  process.exit(1);
}
console.log(`valid OpenAPI ${validator.version}`);
