/** A JSON text as one value, or none where writing that value anew would lose some of the text. */

const PIECE = /"[^"\\]*(?:\\.[^"\\]*)*"|[{}[\]:]/g;

/** The value of a text; undefined where it is no JSON, a key stands twice, or a number is beyond all doubles. */
export function parsed(text) {
  try {
    const value = JSON.parse(text, finite);
    return isTwice(text) ? undefined : value;
  } catch {
    return undefined; // the service says what is wrong with it
  }
}

function finite(_key, value) {
  if (value === Infinity || value === -Infinity) {
    throw new RangeError("would be written as null");
  }
  return value;
}

/** Whether a key stands twice in an object of a text that is JSON. */
function isTwice(text) {
  const open = [];
  let last;
  for (const [piece] of text.matchAll(PIECE)) {
    if (piece === "{" || piece === "[") {
      open.push(new Set());
    } else if (piece === "}" || piece === "]") {
      open.pop();
    } else if (piece === ":") {
      const [keys, key] = [open.at(-1), JSON.parse(last)];
      if (keys.has(key)) {
        return true;
      }
      keys.add(key);
    }
    last = piece;
  }
  return false;
}
