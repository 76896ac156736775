/** The form as a view of a document: each field knows the pointer of its value. */

import { drop, get, isHolder, put } from "./pointers.js";

const NUMBER = /^[0-9]{1,9}(\.[0-9]{1,9})?$/;
const NONE_FITS = "No splice is planned here for this rope: have its maker, or a competent person, terminate it.";
const BEGUN = { schema_version: "1.0", rope: { size: {} }, ends: { a: {} } };

/**
 * @param {HTMLFormElement} form
 * @param {{name: string, label: string, title: string, place: string, ropes: string[], reads: string[]}[]} families
 * @param {() => void} edited called after each change by hand
 */
export class Form {
  #document = structuredClone(BEGUN);
  #touched = new Set();
  #left = new Map(); // what a choice took out of the document, should it be taken back

  constructor(form, families, edited) {
    this.families = families;
    this.fields = [...form.querySelectorAll("[data-pointer]")];
    this.eithers = [...form.querySelectorAll("[data-either]")];
    this.groups = [...form.querySelectorAll("[data-when], [data-branch], [data-reads], [data-has], [data-unless]")];
    form.addEventListener("input", ({ target }) => {
      if (target.dataset.pointer) {
        this.#write(target);
      } else if (!("either" in target.dataset)) {
        return;
      }
      this.#settle();
      edited();
    });
    form.addEventListener("focusout", ({ target }) => {
      if (target.dataset.pointer && !this.#touched.has(target)) {
        this.#touched.add(target);
        edited();
      }
    });
    this.show(this.#document);
    this.#touched.clear();
  }

  get document() {
    return this.#document;
  }

  /** Begin anew, with nothing filled in. */
  empty() {
    this.show(structuredClone(BEGUN));
    this.#touched.clear();
  }

  /** Show a document, whatever it holds. */
  show(document) {
    this.#document = document;
    this.#left.clear();
    for (const either of this.eithers) {
      const present = [...either.options].find((option) => this.#isSaid(option.value));
      either.value = present ? present.value : either.options[0].value;
    }
    this.fields.forEach((field) => this.#read(field));
    this.groups.forEach((group) => { group.hidden = !this.#isShown(group); });
    this.#touched = new Set(this.fields);
  }

  /**
   * Say beside each field what is wrong with it.
   *
   * @returns {{needed: HTMLElement[], others: object[]}} fields that nobody came to yet, and
   *   what belongs to no field that can be seen
   */
  mark(items) {
    const said = new Map();
    const [needed, others] = [[], []];
    for (const item of items) {
      const field = this.#fieldOf(item);
      if (!field) {
        others.push(item);
      } else if (isMissing(item) && !this.#touched.has(field)) {
        needed.push(field);
      } else {
        said.set(field, [...(said.get(field) ?? []), inWords(item)]);
      }
    }
    for (const field of this.fields) {
      this.#say(field, (said.get(field) ?? []).join(" "));
    }
    return { needed, others };
  }

  /** Count fields as seen, so that what they lack is said beside them. */
  touch(fields) {
    fields.forEach((field) => this.#touched.add(field));
  }

  firstAtFault() {
    return this.fields.find((field) => field.ariaInvalid === "true");
  }

  take(pointer) {
    drop(this.#document, pointer, this.#kept());
    this.show(this.#document);
  }

  #say(field, words) {
    document.getElementById(`${field.id}-error`).textContent = words;
    if (words) {
      field.ariaInvalid = "true";
      opened(field);
    } else {
      field.ariaInvalid = null;
    }
  }

  #fieldOf({ pointer, code, detail, allowed }) {
    const below = (place) =>
      this.fields.find((field) => isSeen(field) && `${field.dataset.pointer}/`.startsWith(`${place}/`));
    if (code === "missing") {
      return below(`${pointer}/${detail.split(" ")[0]}`);
    }
    if (code === "one_needed") {
      return allowed.map((name) => below(`${pointer}/${name}`)).find(Boolean);
    }
    const holds = (field) => isSeen(field) && `${pointer}/`.startsWith(`${field.dataset.pointer}/`);
    return pointer ? (this.fields.find(holds) ?? below(pointer)) : undefined;
  }

  #read(field) {
    if (field.dataset.place) {
      this.#offer(field);
    }
    const value = get(this.#document, field.dataset.pointer);
    field.readOnly = isHolder(value); // with a tolerance, or no value at all: only the text can show it
    const isUsual = value === undefined || String(value) === field.dataset.usual;
    field.value = isUsual ? "" : isHolder(value) ? spelt(value) : String(value);
    if (field.selectedIndex === -1) { // not on the list: shown all the same, so that it can be mended
      field.add(new Option(String(value), String(value)));
      field.value = String(value);
    }
    this.#explain(field);
  }

  #write(field) {
    const text = field.value.trim();
    const { pointer, kind } = field.dataset;
    if (text === "") {
      drop(this.#document, pointer, this.#kept());
    } else {
      put(this.#document, pointer, kind === "number" && NUMBER.test(text) ? Number(text) : text);
    }
    if (pointer === "/rope/construction") {
      this.#refit();
    }
    this.#explain(field);
  }

  /** After another construction, a splice that does not fit is not kept. */
  #refit() {
    for (const field of this.fields.filter((one) => one.dataset.place)) {
      const chosen = field.value;
      this.#offer(field);
      const fits = [...field.options].some((option) => option.value === chosen);
      field.value = fits ? chosen : "";
      if (!fits && isSeen(field)) { // nor what was said of it
        drop(this.#document, field.dataset.pointer.replace(/\/splice$/, ""), this.#kept());
      }
      this.#explain(field);
    }
  }

  #offer(field) {
    const rope = get(this.#document, "/rope/construction");
    const fitting = this.families.filter(
      ({ place, ropes }) => place === field.dataset.place && (!rope || ropes.includes(rope)),
    );
    field.replaceChildren(field.options[0], ...fitting.map(({ name, label }) => new Option(label, name)));
  }

  #explain(field) {
    if (field.dataset.place) {
      const family = this.families.find(({ name }) => name === field.value);
      const none = field.options.length === 1 ? NONE_FITS : "";
      document.getElementById(`${field.id}-hint`).textContent = family ? family.title : none;
    }
  }

  /** Show the groups that apply; what disappears leaves the document, what comes back returns. */
  #settle() {
    for (const group of this.groups) {
      const hidden = !this.#isShown(group);
      if (hidden === group.hidden) {
        continue;
      }
      group.hidden = hidden;
      if (hidden) {
        this.#leave(group);
      } else {
        this.#comeBack(group);
        this.fields.filter((field) => group.contains(field) && isSeen(field)).forEach((field) => this.#write(field));
      }
    }
    this.#kept().forEach((pointer) => get(this.#document, pointer) ?? put(this.#document, pointer, {}));
  }

  #comeBack({ dataset: { branch, with: alike } }) {
    for (const pointer of [branch, alike].filter((one) => this.#left.has(one) && !this.#isSaid(one))) {
      put(this.#document, pointer, this.#left.get(pointer));
      this.#left.delete(pointer);
    }
  }

  #leave(group) {
    const { branch, with: alike } = group.dataset;
    for (const pointer of [branch, alike].filter((one) => one && this.#isSaid(one))) {
      this.#left.set(pointer, structuredClone(get(this.#document, pointer)));
    }
    const fields = this.fields.filter((field) => group.contains(field)).map((field) => field.dataset.pointer);
    for (const pointer of [branch, alike, ...fields].filter(Boolean)) {
      if (get(this.#document, pointer) !== undefined) {
        drop(this.#document, pointer, this.#kept());
      }
    }
  }

  #isShown({ dataset }) {
    if ("branch" in dataset) {
      return document.getElementById(`either-${dataset.of}`).value === dataset.branch;
    }
    if ("reads" in dataset) {
      return this.#isRead(dataset.reads) || this.#isSaid(`/rope/${dataset.reads}`);
    }
    if ("has" in dataset) {
      return dataset.has.split(" ").some((pointer) => this.#isSaid(pointer));
    }
    if ("unless" in dataset) {
      return !this.#isSaid(dataset.unless);
    }
    return dataset.is.split(" ").includes(String(get(this.#document, dataset.when)));
  }

  #isSaid(pointer) {
    return get(this.#document, pointer) !== undefined;
  }

  #isRead(fact) {
    const chosen = ["/ends/a", "/ends/b", "/ends/both", "/join"].map((at) => get(this.#document, `${at}/splice`));
    return this.families.some(({ name, reads }) => chosen.includes(name) && reads.includes(fact));
  }

  #kept() {
    return new Set(["/rope", "/rope/size", document.getElementById("either-work").value]);
  }
}

const isMissing = ({ code }) => code === "missing" || code === "one_needed";

const isSeen = (field) => field.closest("[hidden]") === null;

function opened(field) {
  for (let fold = field.closest("details"); fold; fold = fold.parentElement.closest("details")) {
    fold.open = true;
  }
}

function inWords(item) {
  if (isMissing(item)) {
    return "Needed for a plan.";
  }
  if (item.code === "not_a_quantity" && item.hint) {
    return item.hint;
  }
  const range = typeof item.allowed === "string" ? `Allowed: ${item.allowed}.` : "";
  return [item.detail ?? item.message, range, item.hint].filter(Boolean).join(" ");
}

const spelt = ({ value, unit, tolerance }) =>
  tolerance === undefined ? `${value} ${unit}` : `${value} ${unit}, give or take ${tolerance}`;
