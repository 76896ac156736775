/** The sheet in the page, and the files beside it. */

import { file } from "./service.js";

const FILES = [
  ["sheet", "format=pdf", "Sheet (PDF)"],
  ["strip", "format=pdf", "Strip, continuous (PDF)"],
  ["strip", "format=pdf&page=", "Strip on sheets (PDF)"],
  ["tag", "format=pdf", "Tag (PDF)"],
  ["marks", "format=csv", "Marks (CSV)"],
  ["drawing", "format=svg", "Drawing (SVG)"],
  ["", "format=json", "Plan (JSON)"],
];
/** The sheet's own style, for when it is kept as a file: here the page's style sheet serves. */
const STYLE = /<style>[^]*?<\/style>/;
const NOT_OF_STOPPED = ["strip", "tag"];
const FOREIGN = "script, iframe, frame, object, embed, base, link, meta, form, template";

const policy = globalThis.trustedTypes?.createPolicy("sheet", { createHTML: (text) => text });

/**
 * Show a sheet: its elements, without anything that could run or load.
 *
 * The policy of the page forbids that as well; the text itself is escaped where it is made.
 */
export function show(article, html) {
  const bare = html.replace(STYLE, "");
  const made = new DOMParser().parseFromString(policy ? policy.createHTML(bare) : bare, "text/html");
  made.querySelectorAll(FOREIGN).forEach((element) => element.remove());
  for (const element of made.querySelectorAll("*")) {
    for (const { name } of [...element.attributes]) {
      if (name.startsWith("on") || name === "style" || name === "srcdoc") {
        element.removeAttribute(name);
      }
    }
  }
  const main = made.querySelector("main");
  const body = document.createElement("div"); // the page has its own main
  body.className = main.className;
  body.append(...main.childNodes);
  main.replaceWith(body);
  article.className = made.body.className;
  article.replaceChildren(...made.body.childNodes);
}

/**
 * List the files of a plan: as links, or made on demand where its address would be too long.
 *
 * @param {HTMLElement} list
 * @param {{self?: string}} links of the plan
 */
export function offer(list, { text, links, usable, page, failed }) {
  const shown = FILES.filter(([view]) => usable || !NOT_OF_STOPPED.includes(view));
  list.replaceChildren(...shown.map(([view, query, words]) => {
    const item = document.createElement("li");
    const asked = query.endsWith("page=") ? query + page : query;
    const address = `${links.self}${view && `/${view}`}?${asked}`;
    item.append(links.self ? link(address, words, view ? "" : "plan.json") : onDemand(text, view, asked, words, failed));
    return item;
  }));
}

function link(href, words, name = "") { // the service names what it sends as a file
  const found = document.createElement("a");
  found.href = href;
  found.download = name;
  found.textContent = words;
  return found;
}

function onDemand(text, view, query, words, failed) {
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = words;
  button.addEventListener("click", async () => {
    try {
      const { bytes, name } = await file(text, view ? `view=${view}&${query}` : query);
      const kept = link(URL.createObjectURL(bytes), words);
      kept.download = name;
      kept.click();
      setTimeout(() => URL.revokeObjectURL(kept.href), 10_000);
    } catch (error) {
      failed(error);
    }
  });
  return button;
}
