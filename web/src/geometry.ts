// Places and paths for the drawings, in mm; x forward, y left. Drawing only: what is true is computed by the server.

export type Spot = [number, number];

// Sideways at distance x of a robot that drifts `drift` mm in the first metre, aim perfect. The circle's chord to second
// order, which at 100 mm per metre differs from the circle by 1 mm in a metre: less than a line's width.
export function sidewaysAt(x_mm: number, drift_mm_per_m: number): number {
  return drift_mm_per_m * (x_mm / 1000) ** 2;
}

// The path through the mark and the readings of one run, to its last reading.
export function pathThrough(readings: Spot[], pieces = 24): Spot[] {
  const last = readings[readings.length - 1];
  if (!last) return [];
  const [x2, y2] = last;
  let aim = 0;
  let bend = y2 / x2 ** 2;
  const first = readings[0];
  if (first && readings.length > 1) {
    const [x1, y1] = first;
    bend = (y2 / x2 - y1 / x1) / (x2 - x1);
    aim = y1 / x1 - bend * x1;
  }
  return Array.from({ length: pieces + 1 }, (_, i) => {
    const x = (x2 * i) / pieces;
    return [x, aim * x + bend * x * x] as Spot;
  });
}

export interface Extent {
  left: number;
  right: number;
  low: number;
  high: number;
}

export function extentOf(points: Iterable<Spot>): Extent {
  const extent = { left: Infinity, right: -Infinity, low: Infinity, high: -Infinity };
  for (const [x, y] of points) {
    extent.left = Math.min(extent.left, x);
    extent.right = Math.max(extent.right, x);
    extent.low = Math.min(extent.low, y);
    extent.high = Math.max(extent.high, y);
  }
  return extent;
}

// Positive for corners counter-clockwise.
export function signedArea(corners: Spot[]): number {
  return corners.reduce((sum, [x, y], i) => {
    const [u, v] = corners[(i + 1) % corners.length] ?? [0, 0];
    return sum + (x * v - u * y) / 2;
  }, 0);
}

export interface Side {
  from: Spot;
  to: Spot;
  outward: Spot;
  length_mm: number;
}

export function sidesOf(corners: Spot[]): Side[] {
  const turn = signedArea(corners) >= 0 ? 1 : -1;
  return corners.flatMap((from, i) => {
    const to = corners[(i + 1) % corners.length] ?? from;
    const dx = to[0] - from[0];
    const dy = to[1] - from[1];
    const length_mm = Math.hypot(dx, dy);
    if (length_mm === 0) return [];
    return [{ from, to, length_mm, outward: [(turn * dy) / length_mm, (-turn * dx) / length_mm] as Spot }];
  });
}

export interface Foot {
  foot: Spot;
  distance_mm: number;
}

// The nearest edge and the nearest one that stands across it: what a tape measures a start mark from.
export function twoFeet(corners: Spot[], from: Spot): Foot[] {
  const feet = sidesOf(corners).flatMap((side) => {
    const along: Spot = [(side.to[0] - side.from[0]) / side.length_mm, (side.to[1] - side.from[1]) / side.length_mm];
    const t = (from[0] - side.from[0]) * along[0] + (from[1] - side.from[1]) * along[1];
    if (t < 0 || t > side.length_mm) return [];
    const foot: Spot = [side.from[0] + along[0] * t, side.from[1] + along[1] * t];
    return [{ foot, along, distance_mm: Math.hypot(from[0] - foot[0], from[1] - foot[1]) }];
  });
  feet.sort((a, b) => a.distance_mm - b.distance_mm);
  const first = feet[0];
  if (!first) return [];
  const across = feet.find((f) => Math.abs(f.along[0] * first.along[1] - f.along[1] * first.along[0]) > 0.5);
  return across ? [first, across] : [first];
}

// Within [-180, 180).
export function degrees(angle: number): number {
  return ((((angle + 180) % 360) + 360) % 360) - 180;
}
