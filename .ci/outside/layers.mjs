// Judges ribbed parts by sections and offsets of manifold-3d, a general-purpose
// solid library: whether what hangs is held near enough, whether lips hang, and
// whether what was added is thin.
//
//   node layers.mjs FOLDER > results.json
//
// FOLDER holds one folder per case: part.stl, ribbed.stl (binary STL) and
// ask.json: {spacing, ledge, width, ceilings: [{id, where, over, under, below}],
// thin: [z, ...], crossings}. Heights are mid-planes of layers: over is the
// ceiling's first, under and below are the two below it. where and crossings
// are rings in plan: where to look for the ceiling, and where ribs cross.
// Answers are areas in mm2 of what should not be there.
import {readFileSync, readdirSync} from 'node:fs';
import {join} from 'node:path';
import Module from 'manifold-3d';
import {read} from './stl.mjs';

const lib = await Module();
lib.setup();
const {CrossSection} = lib;

const round = 64;  // segments of a full circle
const step = 0.5;  // between the lines along which strands are laid

// far is what of hangs is further than reach from held, by ways inside hangs:
// what is held is grown by a few millimetres at a time and cut to it.
function far(hangs, held, reach) {
  const n = Math.ceil(reach / 4);
  let near = held;
  for (let i = 0; i < n; i++) near = near.offset(reach / n, 'Round', 2, round).intersect(hangs).add(held).simplify(2e-3);
  return hangs.subtract(near);
}

// spans returns where a line at distance c along the normal of angle a lies in
// a region: pairs of runs, ascending.
function spans(polygons, cos, sin, c) {
  const at = [];
  for (const p of polygons) {
    for (let i = 0; i < p.length; i++) {
      const [x0, y0] = p[i], [x1, y1] = p[(i + 1) % p.length];
      const d0 = y0 * cos - x0 * sin - c, d1 = y1 * cos - x1 * sin - c;
      if (d0 > 0 === d1 > 0) continue;
      const t = d0 / (d0 - d1);
      at.push((x0 + t * (x1 - x0)) * cos + (y0 + t * (y1 - y0)) * sin);
    }
  }
  return at.sort((a, b) => a - b);
}

const inside = (runs, u) => {
  for (let i = 0; i + 1 < runs.length; i += 2) if (runs[i] <= u && u <= runs[i + 1]) return true;
  return false;
};

// strands is what straight strands in one direction carry: held at both ends
// and no longer than spacing.
function strands(hangs, held, angle, spacing) {
  const cos = Math.cos(angle), sin = Math.sin(angle), strips = [];
  const ends = hangs.flat().map(([x, y]) => y * cos - x * sin);
  const lo = Math.min(...ends), hi = Math.max(...ends);
  for (let c = lo + step / 4; c < hi; c += step) {
    const on = spans(hangs, cos, sin, c), rest = spans(held, cos, sin, c);
    for (let i = 0; i + 1 < on.length; i += 2) {
      const [a, b] = [on[i], on[i + 1]];
      if (b - a > spacing + 0.1 || !inside(rest, a - 0.02) || !inside(rest, b + 0.02)) continue;
      const at = (u, v) => [u * cos - v * sin, u * sin + v * cos];
      const v = 0.51 * step;
      strips.push([at(a, c - v), at(b, c - v), at(b, c + v), at(a, c + v)]);
    }
  }
  return section(strips);
}

// section is a region of rings; the library takes no empty list.
function section(rings) {
  return rings.length ? new CrossSection(rings, 'NonZero') : CrossSection.square([0, 0]);
}

// lips is what of hangs lies further than ledge from what is held or carried
// by a strand. Half a line's distance is added to ledge.
function lips(hangs, held, spacing, ledge) {
  const grow = (x) => x.offset(ledge + 0.6 * step, 'Round', 2, round);
  let left = hangs.subtract(grow(held));
  const h = hangs.toPolygons(), r = held.toPolygons();
  const angles = new Set();
  for (const p of h) { // square to the long borders first
    for (let i = 0; i < p.length; i++) {
      const [x0, y0] = p[i], [x1, y1] = p[(i + 1) % p.length];
      if (Math.hypot(x1 - x0, y1 - y0) > 5) angles.add(Math.round((Math.atan2(y1 - y0, x1 - x0) + 2 * Math.PI) % Math.PI * 1e6) / 1e6);
    }
  }
  const square = [...angles].slice(0, 12).map((a) => a + Math.PI / 2);
  for (let i = 0; i < 36; i++) square.push(i * Math.PI / 36);
  for (const a of square) {
    if (left.area() < 1e-3) break;
    left = left.subtract(grow(strands(h, r, a, spacing)));
  }
  for (const part of left.decompose()) {
    if (part.area() < 1e-3) continue;
    const bent = section(bends(part, h, r, spacing, ledge));
    left = left.subtract(grow(bent));
  }
  return left;
}

// bends is small squares about points of hangs near a lip that a strand bent
// once carries: two straight ways to what is held that leave the point at 115
// degrees or more, together no longer than spacing.
function bends(lip, hangs, held, spacing, ledge) {
  const {min, max} = lip.bounds(), out = [], rays = 72;
  for (let x = min[0] - ledge; x <= max[0] + ledge; x += 2 * step) {
    for (let y = min[1] - ledge; y <= max[1] + ledge; y += 2 * step) {
      const length = [];
      for (let i = 0; i < rays / 2; i++) { // a line gives two rays
        const cos = Math.cos(i * 2 * Math.PI / rays), sin = Math.sin(i * 2 * Math.PI / rays);
        const u = x * cos + y * sin, on = spans(hangs, cos, sin, y * cos - x * sin);
        const k = on.findLastIndex((v) => v < u);
        if (k < 0 || k % 2) break; // not in what hangs
        const rest = spans(held, cos, sin, y * cos - x * sin);
        length[i] = inside(rest, on[k + 1] + 0.02) ? on[k + 1] - u : Infinity;
        length[i + rays / 2] = inside(rest, on[k] - 0.02) ? u - on[k] : Infinity;
      }
      let best = Infinity;
      if (length.length === rays) {
        for (let i = 0; i < rays; i++) {
          for (let d = Math.ceil(115 / 360 * rays); d <= rays / 2; d++) best = Math.min(best, length[i] + length[(i + d) % rays]);
        }
      }
      const a = step / 100;
      if (best <= spacing + 0.1) out.push([[x - a, y - a], [x + a, y - a], [x + a, y + a], [x - a, y + a]]);
    }
  }
  return out;
}

const root = process.argv[2];
const out = {};
for (const name of readdirSync(root).sort()) {
  const dir = join(root, name);
  try {
    const ask = JSON.parse(readFileSync(join(dir, 'ask.json')));
    const part = read(join(dir, 'part.stl'), lib), ribbed = read(join(dir, 'ribbed.stl'), lib);
    const ceilings = ask.ceilings.map((c) => {
      const where = section(c.where);
      const held = ribbed.slice(c.under).add(ribbed.slice(c.below)).intersect(where.offset(3, 'Miter'));
      const bare = part.slice(c.over).subtract(part.slice(c.under)).intersect(where.offset(0.1, 'Miter'));
      const hangs = bare.subtract(held);
      return {
        id: c.id, bare: bare.area(), hangs: hangs.area(),
        far: far(hangs, held, ask.spacing / 2 + 0.3).area(),
        lips: lips(hangs, held, ask.spacing, ask.ledge).area(),
      };
    });
    const crossings = section(ask.crossings);
    let thick = 0, added = 0;
    for (const z of ask.thin) {
      const more = ribbed.slice(z).subtract(part.slice(z)).subtract(crossings);
      added += more.area();
      thick = Math.max(thick, more.offset(-(ask.width + 0.02) / 2, 'Round', 2, round).area());
    }
    out[name] = {status: ribbed.status(), ceilings, thick, added};
  } catch (e) {
    out[name] = {error: String(e.message ?? e)};
  }
}
process.stdout.write(JSON.stringify(out, null, 1) + '\n');
