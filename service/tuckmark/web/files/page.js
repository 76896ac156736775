/** The page at `/`: one document, shown as a form, as text and as the sheet that comes of it. */

import { pack, pieceOf, unpack } from "./address.js";
import { Form } from "./form.js";
import { parsed } from "./parsing.js";
import { get, isHolder } from "./pointers.js";
import * as service from "./service.js";
import * as sheets from "./sheet.js";

const PAUSE_MS = 250; // between the last key and the question
const PATIENCE_MS = 300; // before the page says that it waits
const MOST_BYTES = 1_000_000; // of a file; what the service takes is less, and it says so itself

const $ = (id) => document.getElementById(id);
const data = JSON.parse($("data").textContent);
const form = new Form($("form"), data.families, () => edited());
const text = $("text");
let [pending, running] = [0, new AbortController()];

text.value = written(form.document);

/** After a change in the form. */
function edited() {
  text.value = written(form.document);
  wait(false);
  schedule();
}

/** After a change in the text; the form follows, or waits where it cannot show all that stands there. */
function rewritten() {
  const found = parsed(text.value);
  const isShown = isHolder(found) && !Array.isArray(found);
  if (isShown) {
    form.show(found);
  } else {
    list([], []); // what is offered there would write the text anew
    $("as-document").open = true;
  }
  wait(!isShown);
  schedule();
}

/** No change in the form while it would take the place of a text that it does not show. */
function wait(isWaiting) {
  $("waits").hidden = !isWaiting;
  $("form").querySelectorAll("fieldset").forEach((fields) => { fields.disabled = isWaiting; });
}

function load(document) {
  text.value = typeof document === "string" ? document : written(document);
  rewritten();
}

function schedule(pause = PAUSE_MS) {
  running.abort();
  clearTimeout(pending);
  document.body.dataset.stale = "";
  pending = setTimeout(run, pause);
}

async function run() {
  running = new AbortController();
  const { signal } = running;
  const asked = text.value;
  unreadable("");
  const waiting = setTimeout(() => say("Working on it."), PATIENCE_MS);
  try {
    const self = await answered(asked, signal);
    const piece = self?.split("/").pop() ?? (await pack(asked, data.packing));
    if (piece && !signal.aborted) {
      history.replaceState(null, "", `#${piece}`);
    }
  } catch (error) {
    if (!signal.aborted) {
      failed(error);
    }
  } finally {
    clearTimeout(waiting);
  }
}

/** Ask, and show what comes back. */
async function answered(asked, signal) {
  const verdict = await service.judge(asked, signal);
  const stops = verdict.stops.map((stop) => ({ ...stop, detail: `STOP: ${stop.message}` }));
  const { needed, others } = form.mark([...verdict.errors, ...stops]);
  list(needed, verdict.plannable ? [] : others);
  if (!verdict.plannable) {
    withdraw(form.firstAtFault() || others.length
      ? "No sheet yet: see what is marked in the form."
      : "No sheet yet.");
    return undefined;
  }
  const [plan, sheet] = await Promise.all([service.plan(asked, signal), service.sheet(asked, signal)]);
  show(asked, plan, sheet);
  return plan.links.self;
}

function show(asked, plan, sheet) {
  const { links, lengths, usable } = plan;
  sheets.show($("sheet"), sheet);
  sheets.offer($("files"), { text: asked, links, usable, page: get(form.document, "/display/page") ?? "a4", failed });
  $("withheld").textContent = usable ? "" : "Strip and tag are not made of a plan that says STOP.";
  $("address").value = links.printed ? new URL(links.printed, location.origin).href : "";
  $("address-line").hidden = $("copy").hidden = !links.printed;
  $("out").hidden = false;
  delete document.body.dataset.stale;
  const cut = lengths?.cut?.text;
  const called = plan.join && lengths.between.startsWith("ends_of") ? "Both ropes together" : "Cut length";
  say(usable ? `The plan is made.${cut ? ` ${called} ${cut}.` : ""}` : "STOP: do not splice from this plan. The sheet says why.");
}

/** No sheet is better than one of other figures. */
function withdraw(words) {
  $("out").hidden = true;
  $("sheet").replaceChildren();
  delete document.body.dataset.stale;
  say(words);
}

function failed(error) {
  const isProblem = error instanceof service.Problem;
  const isUnreadable = isProblem && error.code === "document_unreadable";
  unreadable(isUnreadable ? error.items.map(inWords).join(" ") : "");
  $("keyed").hidden &&= !(isProblem && error.code === "key_needed");
  const { needed, others } = form.mark(isProblem && !isUnreadable ? error.items : []);
  list(needed, others);
  withdraw(isProblem ? error.message : "The service cannot be reached. What you filled in stays here; try again with Show the sheet.");
}

function unreadable(words) {
  $("text-error").textContent = words;
  text.ariaInvalid = words ? "true" : null;
}

function say(words) {
  if ($("status").textContent !== words) { // said once
    $("status").textContent = words;
  }
}

function list(needed, others) {
  const seen = [...new Set(needed)];
  $("needed").querySelector("ul").replaceChildren(...seen.map((field) => entry(toField(field))));
  $("needed").hidden = !seen.length;
  $("problems").querySelector("ul").replaceChildren(...others.map((item) => entry(...toMend(item))));
  $("problems").hidden = !others.length;
}

function entry(...content) {
  const item = document.createElement("li");
  item.append(...content);
  return item;
}

function toField(field) {
  const link = document.createElement("a");
  link.href = `#${field.id}`;
  link.textContent = field.labels[0].textContent;
  return link;
}

const inWords = ({ pointer, detail, hint }) => [pointer && `${pointer}:`, detail, hint].filter(Boolean).join(" ");

function toMend(item) {
  const { pointer } = item;
  const words = inWords(item);
  if (!pointer || get(form.document, pointer) === undefined) {
    return [words];
  }
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = "Take it out";
  button.ariaLabel = `Take ${pointer} out of the document`;
  button.addEventListener("click", () => {
    form.take(pointer);
    edited();
    $("ask-head").focus();
  });
  return [words, " ", button];
}

async function opened(file) {
  if (!file) {
    return;
  }
  if (file.size > MOST_BYTES) {
    say("This file is far too large for a spec.");
    return;
  }
  load(await file.text());
  $("as-document").open = true;
}

async function restored() {
  const piece = pieceOf(location.hash);
  if (!piece) {
    return;
  }
  const found = await unpack(piece, data.packing);
  if (found === null) {
    say("What this address holds cannot be read: copy it whole.");
    return;
  }
  const value = parsed(found);
  load(value === undefined ? found : value);
}

async function copied() {
  const field = $("address");
  try {
    await navigator.clipboard.writeText(field.value);
    say("The address is copied.");
  } catch { // no clipboard without https
    field.select();
    say(document.execCommand("copy") ? "The address is copied." : "Copy the address by hand: it is selected.");
  }
}

function written(document) {
  return JSON.stringify(document, null, 2);
}

text.addEventListener("input", rewritten);
$("form").addEventListener("submit", async (event) => {
  event.preventDefault();
  clearTimeout(pending);
  form.touch(form.fields.filter((field) => field.closest("[hidden]") === null));
  await run();
  const place = form.firstAtFault() ?? (text.ariaInvalid ? text : undefined) ?? ($("problems").hidden ? $("answer-head") : $("problems"));
  place.focus();
});
$("clear").addEventListener("click", () => {
  form.empty();
  list([], []);
  form.mark([]);
  edited();
  form.fields[0].focus();
});
$("use-example").addEventListener("click", () => load(data.examples[$("example").value]));
$("file").addEventListener("change", ({ target }) => opened(target.files[0]));
$("key").addEventListener("input", ({ target }) => {
  service.askWith(target.value.trim());
  schedule();
});
$("print").addEventListener("click", () => print());
$("copy").addEventListener("click", copied);
addEventListener("dragover", (event) => event.dataTransfer?.types.includes("Files") && event.preventDefault());
addEventListener("drop", (event) => {
  if (event.dataTransfer?.files.length) {
    event.preventDefault();
    opened(event.dataTransfer.files[0]);
  }
});
addEventListener("hashchange", restored);
document.addEventListener("click", (event) => { // the fragment holds the work: places are gone to by hand
  const target = event.target.closest?.('a[href^="#"]')?.getAttribute("href").slice(1);
  if (target) {
    event.preventDefault();
    const place = $(target);
    (place.querySelector(":scope > summary") ?? place).focus();
    if (place.matches("details")) {
      place.open = true;
    }
  }
});
restored();
