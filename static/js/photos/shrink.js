// A photo as the phone took it is turned upright, made small, and loses everything but the picture:
// drawn anew on a canvas, it carries no place, no time and no name of the phone.
const LONGEST = 1600;
const QUALITY = 0.82;

/** A JPEG of at most 1600 px; the file itself where this browser cannot read it: the server may. */
export async function shrink(file) {
  let bitmap;
  try {
    bitmap = await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    return file;
  }
  const scale = Math.min(1, LONGEST / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.max(1, Math.round(bitmap.width * scale));
  canvas.height = Math.max(1, Math.round(bitmap.height * scale));
  const brush = canvas.getContext("2d");
  brush.imageSmoothingQuality = "high";
  brush.fillStyle = "#fff";
  brush.fillRect(0, 0, canvas.width, canvas.height);
  brush.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  const small = await new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
  return small ?? file;
}
