/** Values in a JSON document by JSON Pointer (RFC 6901). */

const INDEX = /^(0|[1-9][0-9]*)$/;

/** @returns {boolean} whether a value holds others */
export const isHolder = (value) => typeof value === "object" && value !== null;

const tokens = (pointer) =>
  pointer.split("/").slice(1).map((token) => token.replaceAll("~1", "/").replaceAll("~0", "~"));

/** The value at a pointer; undefined where there is none. */
export function get(document, pointer) {
  return tokens(pointer).reduce(
    (value, token) => (isHolder(value) && Object.hasOwn(value, token) ? value[token] : undefined),
    document,
  );
}

/** Put a value at a pointer, with every object and list on the way. */
export function put(document, pointer, value) {
  const path = tokens(pointer);
  const last = path.pop();
  let holder = document;
  path.forEach((token, n) => {
    if (!isHolder(holder[token])) {
      holder[token] = INDEX.test(path[n + 1] ?? last) ? [] : {};
    }
    holder = holder[token];
  });
  while (Array.isArray(holder) && holder.length < Number(last)) {
    holder.push({}); // no holes: they would be written as null
  }
  holder[last] = value;
}

/**
 * Take out the value at a pointer, and what is empty without it.
 *
 * @param {Set<string>} kept pointers that stay, even when empty
 */
export function drop(document, pointer, kept = new Set()) {
  const end = pointer.lastIndexOf("/");
  const [above, last] = [pointer.slice(0, end), tokens(pointer.slice(end))[0]];
  const holder = get(document, above);
  if (!isHolder(holder)) {
    return;
  }
  if (Array.isArray(holder) && Number(last) < holder.length - 1) {
    holder[last] = {}; // others keep their places
  } else {
    Array.isArray(holder) ? holder.splice(Number(last), 1) : delete holder[last];
  }
  if (above && !kept.has(above) && isEmpty(holder)) {
    drop(document, above, kept);
  }
}

const isEmpty = (holder) =>
  Object.values(holder).every((value) => Array.isArray(holder) && isHolder(value) && isEmpty(value));
