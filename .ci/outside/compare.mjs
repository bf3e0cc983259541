// Asks manifold-3d, a general-purpose solid library, what it makes of the
// same operands that falsework united.
//
//   node compare.mjs FOLDER > results.json
//
// FOLDER holds one folder per case: part.stl, ribbed.stl and, in order,
// tool-000.stl, tool-001.stl, ... (binary STL). Files are welded by exact
// coordinates, as the guarantee of the union is about the file.
import {readFileSync, readdirSync} from 'node:fs';
import {join} from 'node:path';
import Module from 'manifold-3d';

const lib = await Module();
lib.setup();
const {Manifold, Mesh} = lib;

function read(file) {
  const b = readFileSync(file);
  const n = b.readUInt32LE(80);
  if (b.length !== 84 + 50 * n) throw new Error(`${file}: ${b.length} bytes for ${n} triangles`);
  const seen = new Map(), verts = [], tris = new Uint32Array(3 * n);
  for (let t = 0; t < n; t++) {
    for (let c = 0; c < 3; c++) {
      const at = 84 + 50 * t + 12 + 12 * c;
      const p = [b.readFloatLE(at), b.readFloatLE(at + 4), b.readFloatLE(at + 8)];
      const key = p.join(' ');
      let v = seen.get(key);
      if (v === undefined) {
        v = verts.length / 3;
        seen.set(key, v);
        verts.push(...p);
      }
      tris[3 * t + c] = v;
    }
  }
  return new Manifold(new Mesh({numProp: 3, vertProperties: new Float32Array(verts), triVerts: tris}));
}

// The volume that a file encloses, summed over its triangles as they stand. The
// library's own figure for a mesh it has read may differ: on reading it
// collapses short edges.
function fileVolume(file) {
  const b = readFileSync(file);
  const n = b.readUInt32LE(80);
  let sum = 0;
  for (let t = 0; t < n; t++) {
    const f = (k) => b.readFloatLE(84 + 50 * t + 12 + 4 * k);
    sum += f(0) * (f(4) * f(8) - f(5) * f(7)) - f(1) * (f(3) * f(8) - f(5) * f(6)) + f(2) * (f(3) * f(7) - f(4) * f(6));
  }
  return sum / 6;
}

function measure(m) {
  return {status: m.status(), volume: m.volume(), area: m.surfaceArea(), genus: m.genus()};
}

const root = process.argv[2];
const out = {};
for (const name of readdirSync(root).sort()) {
  const dir = join(root, name);
  const at = (file) => read(join(dir, file));
  try {
    const part = at('part.stl'), ribbed = at('ribbed.stl');
    const file = fileVolume(join(dir, 'ribbed.stl'));
    const tools = readdirSync(dir).filter((f) => f.startsWith('tool-')).sort().map(at);
    const ribs = Manifold.union(tools);
    const whole = Manifold.union([part, ...tools]);
    out[name] = {
      part: measure(part), ribs: measure(ribs), union: measure(whole), ribbed: {...measure(ribbed), volume: file}, read: ribbed.volume(),
      lost: Manifold.difference(part, ribbed).volume(),
      extra: Manifold.difference(ribbed, whole).volume(),
    };
  } catch (e) {
    out[name] = {error: String(e.message ?? e)};
  }
}
process.stdout.write(JSON.stringify(out, null, 1) + '\n');
