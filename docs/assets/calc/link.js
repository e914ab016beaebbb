// @ts-check
/** A whole rig in a link: its text compressed, with a checksum, so that a link that was cut says so. */

const LONGEST_LINK = 200_000;
const LARGEST_TEXT = 1_000_000;
const MARK = "#rig=";

/** What a link could not give, in a sentence for the reader. */
export class LinkError extends Error {}

/**
 * @param {string} text the rig file
 * @returns {Promise<string>} what goes behind the page's address
 */
export async function toFragment(text) {
  if (typeof CompressionStream === "undefined") {
    throw new LinkError("This browser cannot make such a link. Save the rig to a file instead.");
  }
  const packed = await collect(new Blob([text]).stream().pipeThrough(new CompressionStream("deflate-raw")), Infinity);
  return `${MARK}${base64url(packed)}.${crc32(packed).toString(16).padStart(8, "0")}`;
}

/** @param {string} fragment @returns {boolean} whether an address carries a rig */
export function carriesRig(fragment) {
  return fragment.startsWith(MARK);
}

/**
 * Raises LinkError.
 *
 * @param {string} fragment
 * @returns {Promise<string>} the rig file
 */
export async function fromFragment(fragment) {
  const parts = /^#rig=([\w-]+)\.([0-9a-f]{8})$/.exec(fragment.slice(0, LONGEST_LINK));
  const packed = parts && bytes(parts[1]);
  if (!parts || !packed || crc32(packed).toString(16).padStart(8, "0") !== parts[2]) {
    throw new LinkError(
      "The link is cut or damaged, so no rig was opened from it and nothing was changed. " +
        "Ask for it again, or for the rig as a file.",
    );
  }
  if (typeof DecompressionStream === "undefined") {
    throw new LinkError("This browser cannot open such a link. Ask for the rig as a file.");
  }
  try {
    const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("deflate-raw"));
    return new TextDecoder("utf-8", { fatal: true }).decode(await collect(stream, LARGEST_TEXT));
  } catch {
    throw new LinkError("The link does not hold a rig of the handbook. Nothing was changed.");
  }
}

/**
 * @param {ReadableStream<Uint8Array>} stream
 * @param {number} most bytes, so that a small link cannot fill the memory
 * @returns {Promise<Uint8Array<ArrayBuffer>>}
 */
async function collect(stream, most) {
  const parts = [];
  let size = 0;
  const reader = stream.getReader();
  for (let part = await reader.read(); !part.done; part = await reader.read()) {
    size += part.value.length;
    if (size > most) {
      await reader.cancel();
      throw new RangeError("too large");
    }
    parts.push(/** @type {Uint8Array<ArrayBuffer>} */ (part.value));
  }
  return new Uint8Array(await new Blob(parts).arrayBuffer());
}

/** @param {Uint8Array} data */
function base64url(data) {
  let letters = "";
  for (const byte of data) letters += String.fromCharCode(byte);
  return btoa(letters).replace(/\+/g, "-").replace(/\//g, "_").replace(/=+$/, "");
}

/** @param {string} text @returns {Uint8Array<ArrayBuffer> | null} */
function bytes(text) {
  try {
    return Uint8Array.from(atob(text.replace(/-/g, "+").replace(/_/g, "/")), (letter) => letter.charCodeAt(0));
  } catch {
    return null;
  }
}

/** The checksum of ISO 3309, as zip files use it. @param {Uint8Array} data */
export function crc32(data) {
  let sum = ~0;
  for (const byte of data) {
    sum ^= byte;
    for (let bit = 0; bit < 8; bit++) sum = (sum >>> 1) ^ (sum & 1 ? 0xedb88320 : 0);
  }
  return ~sum >>> 0;
}
