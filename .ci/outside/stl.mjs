// Reads binary STL for manifold-3d, welded by exact coordinates, as the
// guarantee of the union is about the file.
import {readFileSync} from 'node:fs';

export function read(file, {Manifold, Mesh}) {
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
