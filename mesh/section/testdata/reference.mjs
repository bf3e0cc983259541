// Makes reference.json: areas of clipped and offset regions, worked out by a
// general-purpose solid library (npm manifold-3d 3.5.4, its CrossSection).
//
//   npm install manifold-3d@3.5.4 && node reference.mjs > reference.json
import Module from 'manifold-3d';

const wasm = await Module();
wasm.setup();
const {CrossSection} = wasm;

let seed = 20240611;
function random(n) { // numerical recipes' linear congruence, upper bits
  seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0;
  return Math.floor(seed / 4294967296 * n);
}
function rings(count, points, size) {
  const out = [];
  for (let i = 0; i < count; i++) {
    const r = [];
    for (let k = 0; k < points; k++) r.push([random(size), random(size)]);
    out.push(r);
  }
  return out;
}

const cases = [];
for (let i = 0; i < 120; i++) {
  const size = i % 2 ? 12 : 400;
  const a = rings(1 + random(3), 3 + random(8), size), b = rings(1 + random(3), 3 + random(8), size);
  const A = new CrossSection(a, 'NonZero'), B = new CrossSection(b, 'NonZero');
  const d = size / 40;
  cases.push({
    a, b, d,
    union: A.add(B).area(), intersect: A.intersect(B).area(), subtract: A.subtract(B).area(),
    grown: A.offset(d, 'Miter', 5).area(), shrunk: A.offset(-d, 'Miter', 5).area(),
    round: A.offset(d, 'Round', 2, 2048).area(),
  });
}
console.log('[\n' + cases.map(c => JSON.stringify(c)).join(',\n') + '\n]');
