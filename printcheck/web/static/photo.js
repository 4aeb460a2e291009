// A photo made upright and as small as the measurement needs, its focal length carried along.
const LONG_SIDE = 2000; // px: the measurement reads 1600 to 3200
const QUALITY = 0.92; // of the JPEG: what is lost lies below the camera's own noise
const THUMB = 240; // px: the long side of the picture in lists and on cards
const LARGEST = 25e6; // bytes the server takes

export async function prepared(file) {
  const picture = await decoded(file);
  if (!picture) {
    if (file.size > LARGEST) throw { code: "upload-too-large" };
    return { blob: file, width: 0, height: 0, thumb: "" }; // a kind this browser cannot open: the server may
  }
  const canvas = shrunk(picture, LONG_SIDE);
  if (picture.close) picture.close();
  const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
  const focal = focal35(new DataView(await file.slice(0, 1 << 17).arrayBuffer()));
  const thumb = shrunk(canvas, THUMB).toDataURL("image/jpeg", 0.8);
  return { blob: focal ? await withFocal(blob, focal) : blob, width: canvas.width, height: canvas.height, thumb };
}

function shrunk(picture, longSide) {
  const share = Math.min(1, longSide / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(picture.width * share);
  canvas.height = Math.round(picture.height * share);
  const pen = canvas.getContext("2d");
  pen.imageSmoothingQuality = "high";
  pen.fillStyle = "#fff"; // under what is transparent
  pen.fillRect(0, 0, canvas.width, canvas.height);
  pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
  return canvas;
}

async function decoded(file) {
  try {
    return await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch {
    return null;
  }
}

// Focal length as on 35 mm film (EXIF 2.32, tag 0xA405) of a JPEG; 0 where there is none
export function focal35(view) {
  try {
    if (view.getUint16(0) !== 0xffd8) return 0;
    for (let at = 2; view.getUint8(at) === 0xff; at += 2 + view.getUint16(at + 2)) {
      if (view.getUint8(at + 1) === 0xda) return 0;
      if (view.getUint8(at + 1) === 0xe1 && view.getUint32(at + 4) === 0x45786966) return tagged(view, at + 10);
    }
  } catch {
    // cut short: no focal length
  }
  return 0;
}

function tagged(view, start) {
  const little = view.getUint16(start) === 0x4949;
  const entry = (directory, wanted) => {
    const count = view.getUint16(start + directory, little);
    for (let i = 0; i < count; i++) {
      const at = start + directory + 2 + 12 * i;
      if (view.getUint16(at, little) === wanted) return at;
    }
    return 0;
  };
  const pointer = entry(view.getUint32(start + 4, little), 0x8769);
  const focal = pointer && entry(view.getUint32(pointer + 8, little), 0xa405);
  return focal ? view.getUint16(focal + 8, little) : 0;
}

// The JPEG with an EXIF segment that holds the focal length alone
async function withFocal(blob, focal) {
  const exif = [0x45, 0x78, 0x69, 0x66, 0, 0, 0x4d, 0x4d, 0, 42, 0, 0, 0, 8, 0, 1];
  exif.push(0x87, 0x69, 0, 4, 0, 0, 0, 1, 0, 0, 0, 26, 0, 0, 0, 0); // directory 0: where the EXIF directory is
  exif.push(0, 1, 0xa4, 0x05, 0, 3, 0, 0, 0, 1, focal >> 8, focal & 255, 0, 0, 0, 0, 0, 0);
  const length = exif.length + 2;
  const segment = new Uint8Array([0xff, 0xe1, length >> 8, length & 255, ...exif]);
  return new Blob([blob.slice(0, 2), segment, blob.slice(2)], { type: "image/jpeg" });
}
