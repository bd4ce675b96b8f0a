// A picture made small enough for a record: a JPEG file that holds the picture and nothing else.

/** What a photograph may weigh, in bytes. */
export const MOST_BYTES = 150_000;

/** Tried in this order, until one is light enough: the longer side in pixels, and the quality. */
const TRIES = /** @type {const} */ ([[1280, 0.8], [1280, 0.65], [1280, 0.5], [960, 0.5], [720, 0.5], [480, 0.4], [320, 0.3]]);

/** A picture file as JPEG: upright, its longer side at most 1280 pixels, at most MOST_BYTES. What else the file held
 * (camera, time, place) is not in it. Throws where this browser can't read the picture. @param {Blob} file
 * @returns {Promise<Uint8Array<ArrayBuffer>>} */
export async function jpegOf(file) {
  const picture = await createImageBitmap(file);
  try {
    for (const [side, quality] of TRIES) {
      const made = bare(await drawn(picture, side, quality));
      if (made.length <= MOST_BYTES) return made;
    }
  } finally {
    picture.close();
  }
  throw new Error("too large");
}

/** Draw a picture into a canvas of at most so many pixels a side, on white. @param {HTMLCanvasElement} canvas
 * @param {ImageBitmap} picture @param {number} side */
export function drawInto(canvas, picture, side) {
  const share = Math.min(1, side / Math.max(picture.width, picture.height));
  canvas.width = Math.max(1, Math.round(picture.width * share));
  canvas.height = Math.max(1, Math.round(picture.height * share));
  const pen = canvas.getContext("2d");
  if (!pen) throw new Error("no canvas");
  pen.fillStyle = "#fff";
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
}

/** @param {ImageBitmap} picture @param {number} side @param {number} quality @returns {Promise<Uint8Array<ArrayBuffer>>} */
async function drawn(picture, side, quality) {
  const canvas = document.createElement("canvas");
  drawInto(canvas, picture, side);
  /** @type {Blob|null} */
  const made = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", quality));
  if (made?.type !== "image/jpeg") throw new Error("no JPEG");
  return new Uint8Array(await made.arrayBuffer());
}

/** The segments of a JPEG file that a picture is drawn from (ITU-T T.81, annex B); some browsers write others beside.
 * APP0 is the head, APP2 the colours, APP14 how they are coded. @param {number} marker */
function isNeeded(marker) {
  return marker < 0xe0 || [0xe0, 0xe2, 0xee].includes(marker);
}

/** A JPEG file without the segments that hold words about it. @param {Uint8Array<ArrayBuffer>} jpeg */
export function bare(jpeg) {
  const kept = [jpeg.subarray(0, 2)];
  let at = 2;
  while (jpeg[at] === 0xff && jpeg[at + 1] !== 0xda) {
    const end = at + 2 + (jpeg[at + 2] ?? 0) * 256 + (jpeg[at + 3] ?? 0);
    if (isNeeded(jpeg[at + 1] ?? 0)) kept.push(jpeg.subarray(at, end));
    at = end;
  }
  kept.push(jpeg.subarray(at));
  const made = new Uint8Array(kept.reduce((sum, part) => sum + part.length, 0));
  let filled = 0;
  for (const part of kept) {
    made.set(part, filled);
    filled += part.length;
  }
  return made;
}
