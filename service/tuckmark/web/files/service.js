/** What the service is asked: always at our own origin. */

/** An answer that is a problem (RFC 9457), with its items. */
export class Problem extends Error {
  constructor(body) {
    super(body.detail ?? body.title);
    this.code = body.type?.split("/").pop();
    this.items = body.errors ?? [];
  }
}

let key = "";

/** Ask with a key from now on. It is kept nowhere. */
export const askWith = (words) => { key = words; };

/** The verdict on a document, with every fault. */
export const judge = (text, signal) => asked("/v1/validations", "application/json", text, signal, "json");

/** What the page needs of a plan beside its sheet. */
export const plan = (text, signal) =>
  asked("/v1/plans?fields=links,lengths", "application/json", text, signal, "json");

/** The sheet, as HTML. */
export const sheet = (text, signal) => asked("/v1/plans?view=sheet&format=html", "text/html", text, signal, "text");

/** A view as a file: its bytes and its name. */
export async function file(text, query) {
  const response = await posted(`/v1/plans?${query}`, "*/*", text);
  const name = /filename="([^"]+)"/.exec(response.headers.get("Content-Disposition") ?? "");
  return { bytes: await response.blob(), name: name ? name[1] : "plan" };
}

async function asked(path, accept, text, signal, form) {
  return (await posted(path, accept, text, signal))[form]();
}

async function posted(path, accept, body, signal) {
  const headers = { Accept: accept, "Content-Type": "application/json" };
  if (key) {
    headers.Authorization = `Bearer ${key}`;
  }
  const response = await fetch(path, { method: "POST", headers, body, signal, referrerPolicy: "no-referrer" });
  if (!response.ok) {
    throw new Problem(await response.json().catch(() => ({ title: `The service answered ${response.status}.` })));
  }
  return response;
}
