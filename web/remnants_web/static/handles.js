// Where the handles of an outline stand: each as large as a thumb needs it, none over another. Units of the pad's drawing.
export const SIZE = 60; // 44 px where the pad is 352 px wide or more

const SHARES = [0.5, 0.35, 0.65, 0.2, 0.8], OFFS = [8, 40, 75], STEP = 15;

// Each wanted handle: its size, and the places that it would like, the best first. Where none is free, the free one next to the best.
export function placed(wanted, kept, [wide, high]) {
  const taken = [...kept];
  return wanted.map(({ w, h, choices }) => {
    const free = (spot) => spot[0] >= w / 2 && spot[0] <= wide - w / 2 && spot[1] >= h / 2 && spot[1] <= high - h / 2 && taken.every((box) => clear(box, { spot, w, h }));
    const spot = choices.find(free) || nearest(choices[0], free, wide, high) || choices[0];
    taken.push({ spot, w, h });
    return spot;
  });
}

export function clear(a, b) {
  return Math.abs(a.spot[0] - b.spot[0]) >= (a.w + b.w) / 2 || Math.abs(a.spot[1] - b.spot[1]) >= (a.h + b.h) / 2;
}

// Beside a side, outwards (or first inwards, where two sides meet in a notch), along it from its middle.
export function besideSide(a, b, out, inwards, w, h) {
  const beside = (Math.abs(out[0]) * w + Math.abs(out[1]) * h) / 2, signs = inwards ? [-1, 1] : [1, -1];
  return OFFS.flatMap((off) => signs.flatMap((sign) => SHARES.map((share) => [0, 1].map((k) => a[k] + (b[k] - a[k]) * share + out[k] * sign * (beside + off)))));
}

// At a corner, pushed outwards along the line that halves it.
export function besideCorner(spot, out) {
  return [14, 0, 30, 45, 60].map((off) => [spot[0] + out[0] * off, spot[1] + out[1] * off]);
}

function nearest(best, free, wide, high) {
  let found = null, least = Infinity;
  for (let x = STEP; x < wide; x += STEP) {
    for (let y = STEP; y < high; y += STEP) {
      const far = Math.hypot(x - best[0], y - best[1]);
      if (far < least && free([x, y])) [found, least] = [[x, y], far];
    }
  }
  return found;
}
