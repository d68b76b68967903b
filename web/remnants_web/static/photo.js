// A photograph is made smaller on the device before it is sent: quicker on a weak signal, and where it was taken never leaves the phone.
// The shop draws it anew in any case; what can't be read here is sent as it is and judged there.
const MOST_SIDE = 1600, QUALITY = 0.85;

export function all(fields) {
  for (const field of fields) field.addEventListener("change", () => shrink(field));
}

async function shrink(field) {
  const [file] = field.files, buttons = field.form.querySelectorAll("button");
  if (!file || !file.type.startsWith("image/")) return;
  for (const button of buttons) button.disabled = true;
  try {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const share = Math.min(1, MOST_SIDE / Math.max(picture.width, picture.height));
    const sheet = Object.assign(document.createElement("canvas"), { width: Math.round(picture.width * share), height: Math.round(picture.height * share) });
    const ink = sheet.getContext("2d");
    ink.fillStyle = "#fff";
    ink.fillRect(0, 0, sheet.width, sheet.height);
    ink.drawImage(picture, 0, 0, sheet.width, sheet.height);
    picture.close();
    const smaller = await new Promise((done) => { sheet.toBlob(done, "image/jpeg", QUALITY); });
    if (!smaller || field.files[0] !== file) return;
    const held = new DataTransfer();
    held.items.add(new File([smaller], "photograph.jpg", { type: "image/jpeg" }));
    field.files = held.files;
  } catch { /* sent as it is */ } finally {
    for (const button of buttons) button.disabled = false;
  }
}
