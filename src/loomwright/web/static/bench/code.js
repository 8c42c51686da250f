// Reads a square code (QR) from a photo, on this device.

import "../vendored/jsqr-1.4.0/jsQR.js";

const SIZES_PX = [1200, 700, 2200]; // long sides tried one after the other; ours

/**
 * The text of the code in a photo, "" where none is found.
 * @param {Blob} photo
 * @returns {Promise<string>}
 */
export async function codeIn(photo) {
  const picture = await createImageBitmap(photo);
  for (const size of SIZES_PX) {
    const share = Math.min(1, size / Math.max(picture.width, picture.height));
    const sheet = document.createElement("canvas");
    sheet.width = Math.round(picture.width * share);
    sheet.height = Math.round(picture.height * share);
    const pen = sheet.getContext("2d", {willReadFrequently: true});
    pen.drawImage(picture, 0, 0, sheet.width, sheet.height);
    const {data} = pen.getImageData(0, 0, sheet.width, sheet.height);
    const found = globalThis.jsQR(data, sheet.width, sheet.height);
    if (found?.data) return found.data;
  }
  return "";
}
