// Times manifold-3d, a general-purpose solid library, on the job that
// falsework does beside planning: read and weld a part and its ribs, build,
// unite, write.
//
//   node speed.mjs part.stl ribs.stl united.stl > seconds.json
//
// Files are binary STL. The second round counts: the first warms the
// compiler up.
import {readFileSync, writeFileSync} from 'node:fs';
import Module from 'manifold-3d';

const lib = await Module();
lib.setup();
const {Manifold, Mesh} = lib;

// Welds by exact coordinates, as compare.mjs does, in an open table of numbers.
function weld(b) {
  const n = b.readUInt32LE(80);
  const bits = new Uint32Array(3 * n * 3);
  for (let t = 0, k = 0; t < n; t++) {
    for (let i = 0; i < 9; i++, k++) {
      const x = b.readUInt32LE(84 + 50 * t + 12 + 4 * i);
      bits[k] = x === 0x80000000 ? 0 : x;
    }
  }
  let size = 1024;
  while (size < 3 * n) size *= 2;
  const table = new Int32Array(size).fill(-1);
  const verts = new Uint32Array(9 * n), tris = new Uint32Array(3 * n);
  let count = 0;
  for (let c = 0; c < 3 * n; c++) {
    const x = bits[3 * c], y = bits[3 * c + 1], z = bits[3 * c + 2];
    let h = Math.imul(x, 0x9e3779b1) ^ Math.imul(y, 0x85ebca6b) ^ Math.imul(z, 0xc2b2ae35);
    h = Math.imul(h ^ (h >>> 15), 0x2c1b3c6d);
    let i = (h ^ (h >>> 13)) & (size - 1);
    for (;; i = (i + 1) & (size - 1)) {
      const v = table[i];
      if (v < 0) {
        table[i] = count;
        verts[3 * count] = x, verts[3 * count + 1] = y, verts[3 * count + 2] = z;
        tris[c] = count++;
        break;
      }
      if (verts[3 * v] === x && verts[3 * v + 1] === y && verts[3 * v + 2] === z) {
        tris[c] = v;
        break;
      }
    }
  }
  return {vertProperties: new Float32Array(verts.buffer, 0, 3 * count), triVerts: tris};
}

function write(file, m) {
  const {vertProperties: v, triVerts: t, numProp} = m;
  const b = Buffer.alloc(84 + 50 * (t.length / 3));
  b.writeUInt32LE(t.length / 3, 80);
  for (let k = 0; k < t.length; k++) {
    const at = 84 + 50 * Math.floor(k / 3) + 12 + 12 * (k % 3);
    for (let i = 0; i < 3; i++) b.writeFloatLE(v[numProp * t[k] + i], at + 4 * i);
  }
  writeFileSync(file, b);
}

const [part, ribs, united] = process.argv.slice(2);
let out;
for (let round = 0; round < 2; round++) {
  const at = [performance.now()];
  const tick = () => at.push(performance.now());
  const files = [part, ribs].map((f) => readFileSync(f));
  tick();
  const welded = files.map(weld);
  tick();
  const solids = welded.map((w) => new Manifold(new Mesh({numProp: 3, ...w})));
  solids.forEach((s) => s.volume()); // evaluation waits until asked
  tick();
  const sum = solids[0].add(solids[1]);
  const volume = sum.volume();
  tick();
  write(united, sum.getMesh());
  tick();
  const s = (i) => (at[i + 1] - at[i]) / 1000;
  out = {read: s(0), weld: s(1), build: s(2), unite: s(3), write: s(4), total: (at[5] - at[0]) / 1000, volume, status: sum.status()};
  [sum, ...solids].forEach((m) => m.delete());
}
console.log(JSON.stringify(out));
