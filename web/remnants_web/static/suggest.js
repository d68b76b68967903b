// Offers styles, colours and lots of the stock as one types them.
const PAUSE_MS = 150;

export function watch() {
  for (const place of document.querySelectorAll("[data-suggest]")) {
    let timer, newest = 0;
    const ask = async () => {
      const words = ["style", "colour", "lot"].map((name) => place.querySelector(`[name=${name}]`).value).join(" ").trim();
      const turn = ++newest;
      if (words.length < 2) return;
      try {
        const answer = await fetch(`/suggest?words=${encodeURIComponent(words)}`, { headers: { Accept: "application/json" } });
        if (answer.ok && turn === newest) offer(place, await answer.json());
      } catch { /* without signal one types on unaided */ }
    };
    place.addEventListener("input", (event) => {
      if (event.inputType === "insertReplacementText" || !event.inputType) return;
      clearTimeout(timer);
      timer = setTimeout(ask, PAUSE_MS);
    });
    if (place.contains(document.activeElement)) ask(); // typed before this was here
  }
}

function offer(place, names) {
  for (const [key, texts] of Object.entries(names)) {
    place.querySelector(`#${key}s`).replaceChildren(...texts.map((text) => Object.assign(document.createElement("option"), { value: text })));
  }
}
