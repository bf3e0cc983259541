// Takes a part and its tools through manifold-3d from file to file and prints
// the processor time of each step, in milliseconds, for the benchmark of the
// union to stand beside.
//
//   node chain.mjs FOLDER
//
// FOLDER holds part.stl and tool-000.stl, tool-001.stl, ... (binary STL); the
// result is written there as outside.stl.
import {readFileSync, readdirSync, writeFileSync} from 'node:fs';
import {join} from 'node:path';
import Module from 'manifold-3d';

const lib = await Module();
lib.setup();
const {Manifold, Mesh} = lib;

const spent = {};
function timed(step, f) {
  const from = process.cpuUsage();
  const x = f();
  const used = process.cpuUsage(from);
  spent[step] = (spent[step] ?? 0) + (used.user + used.system) / 1000;
  return x;
}

// Welds by exact coordinates in an open table of integers: as fast as the
// language allows, so that the comparison is fair.
function weld(f32, n) {
  const bits = new Uint32Array(f32.buffer);
  let size = 1;
  while (size < 2 * n) size *= 2;
  const table = new Int32Array(size).fill(-1);
  const verts = new Float32Array(9 * n), vbits = new Uint32Array(verts.buffer), tris = new Uint32Array(3 * n);
  let count = 0;
  for (let c = 0; c < 3 * n; c++) {
    const x = bits[3 * c], y = bits[3 * c + 1], z = bits[3 * c + 2];
    let h = (Math.imul(x, 0x9e3779b1) ^ Math.imul(y, 0x85ebca6b) ^ Math.imul(z, 0xc2b2ae35)) >>> 0;
    h = (h ^ (h >>> 15)) & (size - 1);
    let v;
    for (;;) {
      v = table[h];
      if (v < 0) {
        v = count++;
        table[h] = v;
        vbits[3 * v] = x; vbits[3 * v + 1] = y; vbits[3 * v + 2] = z;
        break;
      }
      if (vbits[3 * v] === x && vbits[3 * v + 1] === y && vbits[3 * v + 2] === z) break;
      h = (h + 1) & (size - 1);
    }
    tris[c] = v;
  }
  return new Mesh({numProp: 3, vertProperties: verts.slice(0, 3 * count), triVerts: tris});
}

function load(file) {
  const [f32, n] = timed('read', () => {
    const b = readFileSync(file), n = b.readUInt32LE(80);
    const f32 = new Float32Array(9 * n), view = new DataView(b.buffer, b.byteOffset);
    for (let t = 0; t < n; t++) {
      for (let k = 0; k < 9; k++) f32[9 * t + k] = view.getFloat32(84 + 50 * t + 12 + 4 * k, true) + 0;
    }
    return [f32, n];
  });
  const mesh = timed('weld', () => weld(f32, n));
  return timed('build', () => { const m = new Manifold(mesh); m.volume(); return m; });
}

const dir = process.argv[2];
const part = load(join(dir, 'part.stl'));
const tools = readdirSync(dir).filter((f) => f.startsWith('tool-')).sort().map((f) => load(join(dir, f)));
const out = timed('unite', () => { const m = Manifold.union([part, ...tools]); m.volume(); return m; });
timed('write', () => {
  const {vertProperties: v, triVerts: t, numProp: p} = out.getMesh();
  const n = t.length / 3, b = Buffer.alloc(84 + 50 * n);
  b.writeUInt32LE(n, 80);
  for (let i = 0; i < n; i++) {
    for (let c = 0; c < 3; c++) {
      for (let k = 0; k < 3; k++) b.writeFloatLE(v[t[3 * i + c] * p + k], 84 + 50 * i + 12 + 12 * c + 4 * k);
    }
  }
  writeFileSync(join(dir, 'outside.stl'), b);
});
spent.all = Object.values(spent).reduce((a, b) => a + b, 0);
process.stdout.write(JSON.stringify(spent) + '\n');
