// Drawings come nearer by button, wheel with Ctrl, or two fingers; then they scroll in their frame.
const STEP = 1.5, MOST = 8;

export function all() {
  for (const figure of document.querySelectorAll(".zoomable")) add(figure);
}

function add(figure) {
  const frame = figure.querySelector(".drawing"), drawing = frame.querySelector("svg");
  if (!drawing) return;
  let times = 1, apart = 0;
  const to = (wanted, x = frame.clientWidth / 2, y = frame.clientHeight / 2) => {
    const next = Math.min(MOST, Math.max(1, wanted)), share = next / times;
    const left = (frame.scrollLeft + x) * share - x, top = (frame.scrollTop + y) * share - y;
    times = next;
    if (next === 1) { drawing.style.width = drawing.style.maxHeight = ""; frame.style.height = ""; }
    else {
      if (!frame.style.height) frame.style.height = `${frame.clientHeight}px`;
      drawing.style.width = `${100 * next}%`;
      drawing.style.maxHeight = "none";
    }
    frame.scrollTo(left, top);
    if (next === 1 && bar.contains(document.activeElement)) bar.firstChild.focus();
    figure.classList.toggle("near", next > 1);
  };
  const bar = document.createElement("div");
  bar.className = "zoom no-print";
  for (const [word, told, turn] of [["+", "Nearer", () => to(times * STEP)], ["−", "Farther", () => to(times / STEP)], ["Whole", "Whole drawing", () => to(1)]]) {
    const button = Object.assign(document.createElement("button"), { type: "button", textContent: word });
    button.setAttribute("aria-label", told);
    button.addEventListener("click", turn);
    bar.append(button);
  }
  frame.after(bar);
  frame.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    to(times * (event.deltaY < 0 ? 1.15 : 1 / 1.15), event.offsetX, event.offsetY);
  }, { passive: false });
  frame.addEventListener("touchmove", (event) => {
    if (event.touches.length !== 2) { apart = 0; return; }
    event.preventDefault();
    const [a, b] = event.touches, now = Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
    if (apart) to(times * now / apart);
    apart = now;
  }, { passive: false });
}
