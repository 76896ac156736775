/** A document packed into a piece of an address, as the service itself packs specs, and back. */

const PIECE = /^#([0-9])([A-Za-z0-9_-]+)$/;

/** The piece in the fragment of an address; null where it holds none. */
export const pieceOf = (hash) => (PIECE.test(hash) ? hash.slice(1) : null);

/** Pack a text; null where the browser cannot. */
export async function pack(text, { digit }) {
  if (!("CompressionStream" in globalThis)) {
    return null;
  }
  const deflated = await through(new CompressionStream("deflate-raw"), new TextEncoder().encode(text));
  const letters = btoa(String.fromCharCode(...deflated));
  return digit + letters.replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
}

/**
 * The text that a piece holds; null where it cannot be read here.
 *
 * Browsers take no dictionary. Sent ahead as a stored block (RFC 1951, 3.2.4), it does the same.
 */
export async function unpack(piece, { digit, dictionary }) {
  if (piece[0] !== digit || !("DecompressionStream" in globalThis)) {
    return null;
  }
  try {
    const known = new TextEncoder().encode(dictionary);
    const packed = atob(piece.slice(1).replaceAll("-", "+").replaceAll("_", "/"));
    const deflated = Uint8Array.from(packed, (letter) => letter.charCodeAt(0));
    const stored = Uint8Array.of(0, ...twoBytes(known.length), ...twoBytes(~known.length));
    const whole = await through(new DecompressionStream("deflate-raw"), stored, known, deflated);
    return new TextDecoder("utf-8", { fatal: true }).decode(whole.subarray(known.length));
  } catch {
    return null; // cut short or damaged
  }
}

const twoBytes = (number) => [number & 0xff, (number >> 8) & 0xff];

async function through(stream, ...pieces) {
  const made = new Blob(pieces).stream().pipeThrough(stream);
  return new Uint8Array(await new Response(made).arrayBuffer());
}
