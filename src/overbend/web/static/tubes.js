// @ts-check
/** Parts as tubes: rings of corners, one after the other, made into faces and edges. */

/** @typedef {{n: number, at: number[]}} Tube corners in a ring; x, y, z of all corners [0.1 mm] */

const LAMP = [0.45, -0.35, 0.82]; // from above, in front, to the right; it stays with the piece
const [DIM, BRIGHT] = [0.8, 0.22];

/** Faces of some tubes as one mesh of triangles, each as bright as the lamp makes it. @param {Tube[]} tubes @param {string} tint */
export function facesOf(tubes, tint) {
  /** @type {Record<"x" | "y" | "z" | "i" | "j" | "k", number[]>} */
  const mesh = { x: [], y: [], z: [], i: [], j: [], k: [] };
  const face = (/** @type {number} */ a, /** @type {number} */ b, /** @type {number} */ c) => { mesh.i.push(a); mesh.j.push(b); mesh.k.push(c); };
  for (const { n, at } of tubes) {
    const first = mesh.x.length;
    corners(at, mesh);
    const last = mesh.x.length - n;
    for (let ring = first; ring < last; ring += n) {
      for (let a = 0; a < n; a += 1) {
        const b = (a + 1) % n;
        face(ring + a, ring + b, ring + n + b);
        face(ring + a, ring + n + b, ring + n + a);
      }
    }
    for (let a = 1; a < n - 1; a += 1) {
      face(first, first + a + 1, first + a);
      face(last, last + a, last + a + 1);
    }
  }
  return { ...mesh, facecolor: mesh.i.map((a, t) => lit(tint, brightness(mesh, a, mesh.j[t], mesh.k[t]))) };
}

/** How bright a triangle is. @param {{x: number[], y: number[], z: number[]}} mesh @param {number} a @param {number} b @param {number} c */
function brightness({ x, y, z }, a, b, c) {
  const [ux, uy, uz] = [x[b] - x[a], y[b] - y[a], z[b] - z[a]];
  const [vx, vy, vz] = [x[c] - x[a], y[c] - y[a], z[c] - z[a]];
  const normal = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
  const size = Math.hypot(...normal) || 1;
  return DIM + BRIGHT * normal.reduce((sum, v, k) => sum + (v / size) * LAMP[k], 0);
}

/** A colour in more or less light. @param {string} tint @param {number} by */
function lit(tint, by) {
  return by > 1 ? mixed(tint, "#ffffff", by - 1) : mixed("#000000", tint, by);
}

/** Edges of some tubes as one broken line. @param {Tube[]} tubes */
export function edgesOf(tubes) {
  /** @type {Record<"x" | "y" | "z", (number | null)[]>} */
  const line = { x: [], y: [], z: [] };
  for (const { n, at } of tubes) {
    const put = (/** @type {number} */ corner) => { for (const [k, axis] of AXES.entries()) line[axis].push(at[3 * corner + k] / 10); };
    const lift = () => { for (const axis of AXES) line[axis].push(null); };
    const count = at.length / 3;
    for (let a = 0; a < n; a += 1) {
      for (let corner = a; corner < count; corner += n) put(corner);
      lift();
    }
    for (const ring of [0, count - n]) {
      for (let a = 0; a <= n; a += 1) put(ring + (a % n));
      lift();
    }
  }
  return line;
}

const AXES = /** @type {const} */ (["x", "y", "z"]);

/** @param {number[]} at @param {{x: number[], y: number[], z: number[]}} mesh */
function corners(at, mesh) {
  for (let k = 0; k < at.length; k += 3) {
    mesh.x.push(at[k] / 10);
    mesh.y.push(at[k + 1] / 10);
    mesh.z.push(at[k + 2] / 10);
  }
}

/** Two colours mixed. @param {string} one @param {string} other @param {number} share of the other */
export function mixed(one, other, share) {
  const parts = (/** @type {string} */ c) => [1, 3, 5].map((k) => parseInt(c.slice(k, k + 2), 16));
  const [a, b] = [parts(one), parts(other)];
  return `#${a.map((v, k) => Math.round(v + (b[k] - v) * share).toString(16).padStart(2, "0")).join("")}`;
}

/** What the edges of a wood are mixed with: dark on light wood, light on dark. @param {string} tint */
export function edgeTone(tint) {
  return parseInt(tint.slice(3, 5), 16) > 100 ? "#2a2018" : "#f0e4d4";
}
