// Asks manifold-3d, a general-purpose solid library, what it makes of the
// same operands that falsework united.
//
//   node compare.mjs FOLDER > results.json
//
// FOLDER holds one folder per case: part.stl, ribbed.stl and, in order,
// tool-000.stl, tool-001.stl, ... (binary STL).
import {readFileSync, readdirSync} from 'node:fs';
import {join} from 'node:path';
import Module from 'manifold-3d';
import {read} from './stl.mjs';

const lib = await Module();
lib.setup();
const {Manifold} = lib;

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
  const at = (file) => read(join(dir, file), lib);
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
