// Where the browser itself can read codes, a tag can be scanned with the camera. A scanner that types needs nothing of this.
const EVERY_MS = 180, LOOKS_AWAY = 8;

export async function all(fields) {
  if (!("BarcodeDetector" in window) || !navigator.mediaDevices?.getUserMedia) return;
  const known = await BarcodeDetector.getSupportedFormats().catch(() => []);
  if (known.includes("qr_code")) for (const field of fields) add(field, new BarcodeDetector({ formats: ["qr_code"] }));
}

function add(field, detector) {
  const button = make("button", { type: "button", class: "camera" }, "Scan with the camera");
  const view = make("dialog", { class: "camera-view", "aria-label": "Camera" });
  const film = make("video", { playsinline: "", muted: "" }), told = make("p", { role: "status" }), stop = make("button", { type: "button" }, "Stop");
  view.append(film, told, stop);
  field.after(button, view);
  let stream;
  const end = () => { for (const track of stream?.getTracks() || []) track.stop(); stream = undefined; view.close(); button.focus(); };
  stop.addEventListener("click", end);
  view.addEventListener("cancel", (event) => { event.preventDefault(); end(); });
  document.addEventListener("scanned", ({ detail }) => { told.textContent = detail; });
  button.addEventListener("click", async () => {
    view.showModal();
    told.textContent = "Hold the tag's code into the picture.";
    try { stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } }); }
    catch { told.textContent = "The camera can't be used here. Type the tag instead."; return; }
    film.srcObject = stream;
    await film.play();
    const on = field.dataset.tag === "on" && "dock" in field.form.dataset;  // one code after another, until it is stopped
    let last = "", gone = 0;
    while (stream) {
      const [code] = await detector.detect(film).catch(() => []);
      const text = code ? tagIn(code.rawValue) : "";
      gone = text ? 0 : gone + 1;
      if (gone > LOOKS_AWAY) last = "";
      if (text && text !== last) {
        last = text;
        field.value = text;
        if (!on) end();
        field.dispatchEvent(new Event("input", { bubbles: true }));
        field.form.requestSubmit(field.form.querySelector("button:not([type=button])"));
        if (!on) return;
      }
      await new Promise((go) => setTimeout(go, EVERY_MS));
    }
  });
}

// A code holds the tag, or the address of the piece's page.
export function tagIn(text) {
  const found = text.match(/\/pieces\/([^?#]+)/);
  return found ? decodeURIComponent(found[1]) : text.trim();
}

function make(name, given, text = "") { const made = document.createElement(name); for (const [key, value] of Object.entries(given)) made.setAttribute(key, value); made.textContent = text; return made; }
