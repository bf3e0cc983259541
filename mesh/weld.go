package mesh

import (
	"context"
	"encoding/binary"
	"math"
	"math/bits"
	"math/rand/v2"
	"runtime"
	"slices"

	"falsework/mesh/par"
)

// RecordSize is the length of a triangle in a binary STL file: a normal and
// three corners, each three little-endian float32, and two attribute bytes.
const RecordSize = 50

// MaxTriangles is the most triangles a mesh may have: corners are numbered by
// int32 while welding.
const MaxTriangles = 1 << 28

// Weld makes a mesh of triangles given as STL records: corners of equal
// coordinates, bit for bit and with -0 as 0, become one vertex. Triangle i is
// that of record i; vertices are numbered in the order of their first use.
// No corner is moved and no triangle dropped, whatever is wrong with it.
//
// The records must be whole, at most MaxTriangles of them. The only error is
// that of ctx.
//
// Each processor welds a stretch of the records by itself, so that every
// corner is read and hashed once and its numbers are those of the mesh
// already in the first stretch. Then each vertex of a later stretch is looked
// up in the earlier ones: there are six corners to a vertex, so little is
// left to do.
func Weld(ctx context.Context, records []byte) (*Mesh, error) {
	n := len(records) / RecordSize
	w := &welder{ctx: ctx, records: records, tris: make([][3]int32, n), seed: [2]uint64{rand.Uint64(), rand.Uint64()}}
	w.stretches = make([]stretch, min(par.Workers(n, 4096), 16))
	par.Each(len(w.stretches), func(k int) {
		w.weld(&w.stretches[k], n*k/len(w.stretches), n*(k+1)/len(w.stretches))
	})
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if err := w.join(); err != nil {
		return nil, err
	}
	return w.mesh()
}

// A welder holds the state of one Weld.
type welder struct {
	ctx       context.Context
	records   []byte
	tris      [][3]int32
	seed      [2]uint64 // of the hash: no file can be made to collide everywhere
	stretches []stretch
}

// A stretch is a run of triangles welded by itself.
type stretch struct {
	lo, hi   int
	vertices [][3]float32 // in the order of their first use
	table    []slot       // open addressing
	number   []int32      // per vertex that of the mesh; nil in the first stretch, whose numbers stay
	fresh    int          // how many are not in an earlier stretch
	base     int          // the number in the mesh of the first of them
}

const minusZero = 1 << 31

// key returns the coordinates of a corner as bits, -0 made 0.
func key(corner []byte) (xy uint64, z uint32) {
	xy, z = raw(corner)
	if uint32(xy) == minusZero {
		xy &^= minusZero
	}
	if xy>>32 == minusZero {
		xy &= math.MaxUint32
	}
	if z == minusZero {
		z = 0
	}
	return xy, z
}

// raw returns the coordinates of a corner as bits.
func raw(corner []byte) (xy uint64, z uint32) {
	return binary.LittleEndian.Uint64(corner), binary.LittleEndian.Uint32(corner[8:])
}

// bitsOf is raw of a vertex.
func bitsOf(p *[3]float32) (xy uint64, z uint32) {
	return uint64(math.Float32bits(p[0])) | uint64(math.Float32bits(p[1]))<<32, math.Float32bits(p[2])
}

func (w *welder) hash(xy uint64, z uint32) uint64 { return hash(w.seed, xy, z) }

func hash(seed [2]uint64, xy uint64, z uint32) uint64 {
	hi, lo := bits.Mul64(xy^seed[0], (uint64(z)<<32|uint64(z))^seed[1])
	return hi ^ lo
}

// weld numbers the corners of the triangles lo to hi by the stretch's own
// vertices.
func (w *welder) weld(s *stretch, lo, hi int) {
	s.lo, s.hi = lo, hi
	// A closed surface has half as many vertices as triangles; the table is
	// at most half full then, and doubles for surfaces that are not closed.
	s.vertices = make([][3]float32, 0, (hi-lo)/2+(hi-lo)/64+64)
	s.table = make([]slot, 1<<bits.Len(uint(hi-lo)+8))
	f := &front{}
	for from := lo; from < hi; from += block {
		if from&0xffff == 0 && w.ctx.Err() != nil {
			return
		}
		w.block(s, f, from, min(from+block, hi))
	}
}

// A slot of the table is a vertex plus one, or 0, and above it the upper half
// of its hash: places that share a slot but not a hash need no look at the
// vertex, which lies elsewhere.
type slot uint64

func slotOf(v int, hash uint64) slot { return slot(hash&^math.MaxUint32 | uint64(v+1)) }

func (s slot) vertex() int32        { return int32(uint32(s)) - 1 }
func (s slot) may(hash uint64) bool { return (uint64(s)^hash)>>32 == 0 }

// A front stands before the table of a stretch. A file's triangles mostly
// follow their neighbours, so that four corners of five were met a short while
// ago: what is here stays in the nearest cache. The corners that it does not
// know wait until a block is through, so that their places in the table, far
// off in memory, are fetched side by side and not one after the other.
type front struct {
	met     [1 << 10]corner
	waiting [3 * block]corner
	hashes  [3 * block]uint64 // of those that wait
}

// block is how many triangles are looked up at a time.
const block = 128

// A corner is a place and its vertex, or ^i for the i-th that waits.
type corner struct {
	xy     uint64
	z      uint32
	vertex int32
}

// block numbers the corners of the triangles from..to.
func (w *welder) block(s *stretch, f *front, from, to int) {
	n := 0
	for t := from; t < to; t++ {
		rec := w.records[t*RecordSize+12 : t*RecordSize+48]
		for c := range 3 {
			xy, z := key(rec[12*c : 12*c+12])
			h := w.hash(xy, z)
			m := &f.met[h%uint64(len(f.met))]
			if m.xy != xy || m.z != z || m.vertex == 0 {
				*m = corner{xy, z, int32(^n)}
				f.waiting[n], f.hashes[n] = *m, h
				n++
			}
			w.tris[t][c] = m.vertex
		}
	}
	fetch(s.table, f.hashes[:n])
	for i := range f.waiting[:n] {
		x, h := &f.waiting[i], f.hashes[i]
		v := s.find(x.xy, x.z, h)
		if v < 0 {
			v = w.add(s, x.xy, x.z, h)
		}
		x.vertex = v + 1
		if m := &f.met[h%uint64(len(f.met))]; m.vertex == int32(^i) {
			m.vertex = v + 1
		}
	}
	for t := from; t < to; t++ {
		for c, v := range w.tris[t] {
			if v < 0 {
				v = f.waiting[^v].vertex
			}
			w.tris[t][c] = v - 1
		}
	}
}

// add makes a new vertex.
func (w *welder) add(s *stretch, xy uint64, z uint32, h uint64) int32 {
	mask := uint64(len(s.table) - 1)
	i := h & mask
	for s.table[i] != 0 {
		i = (i + 1) & mask
	}
	s.vertices = append(s.vertices, [3]float32{
		math.Float32frombits(uint32(xy)), math.Float32frombits(uint32(xy >> 32)), math.Float32frombits(z)})
	s.table[i] = slotOf(len(s.vertices)-1, h)
	if len(s.vertices) > len(s.table)*5/8 {
		w.double(s)
	}
	return int32(len(s.vertices) - 1)
}

// double makes the table of a stretch twice as large.
func (w *welder) double(s *stretch) {
	s.table = make([]slot, 2*len(s.table))
	mask := uint64(len(s.table) - 1)
	for v := range s.vertices {
		h := w.hash(bitsOf(&s.vertices[v]))
		i := h & mask
		for s.table[i] != 0 {
			i = (i + 1) & mask
		}
		s.table[i] = slotOf(v, h)
	}
}

// fetch brings the slots of hashes near. The loop is so short that the
// processor waits for several of them at once.
func fetch(table []slot, hashes []uint64) {
	mask := uint64(len(table) - 1)
	warm := slot(0)
	for _, h := range hashes {
		warm |= table[h&mask]
	}
	runtime.KeepAlive(warm)
}

// find returns the vertex of the stretch in a place, or -1.
func (s *stretch) find(xy uint64, z uint32, hash uint64) int32 {
	mask := uint64(len(s.table) - 1)
	for i := hash & mask; s.table[i] != 0; i = (i + 1) & mask {
		if !s.table[i].may(hash) {
			continue
		}
		v := s.table[i].vertex()
		if a, b := bitsOf(&s.vertices[v]); a == xy && b == z {
			return v
		}
	}
	return -1
}

// join gives the vertices of all stretches but the first their numbers. A
// vertex met before has that of the first stretch that has it, the others
// follow in their order: so numbers are those of first use in the file.
func (w *welder) join() error {
	w.stretches[0].fresh = len(w.stretches[0].vertices)
	for j := 1; j < len(w.stretches); j++ {
		s := &w.stretches[j]
		s.base = w.stretches[j-1].base + w.stretches[j-1].fresh
		s.number = make([]int32, len(s.vertices))
		err := par.Range(w.ctx, len(s.vertices), lookups, func(lo, hi int) { w.before(j, lo, hi) })
		if err != nil {
			return err
		}
		for v, n := range s.number {
			if n < 0 {
				s.number[v] = int32(s.base + s.fresh)
				s.fresh++
			}
		}
	}
	return nil
}

// lookups is how many vertices are looked up side by side.
const lookups = 512

// before numbers those of the vertices lo..hi of stretch j that an earlier one
// has, the others -1.
func (w *welder) before(j, lo, hi int) {
	s := &w.stretches[j]
	var room [lookups]uint64
	hashes := room[:hi-lo]
	for k := range hashes {
		hashes[k] = w.hash(bitsOf(&s.vertices[lo+k]))
		s.number[lo+k] = -1
	}
	for i := range j {
		e := &w.stretches[i]
		fetch(e.table, hashes)
		for k, h := range hashes {
			if s.number[lo+k] >= 0 {
				continue
			}
			xy, z := bitsOf(&s.vertices[lo+k])
			u := e.find(xy, z, h)
			if u >= 0 && i > 0 {
				u = e.number[u]
			}
			s.number[lo+k] = u
		}
	}
}

// mesh puts the stretches together.
func (w *welder) mesh() (*Mesh, error) {
	first, last := &w.stretches[0], &w.stretches[len(w.stretches)-1]
	m := &Mesh{Vertices: slices.Grow(first.vertices, last.base+last.fresh-len(first.vertices)), Triangles: w.tris}
	m.Vertices = m.Vertices[:last.base+last.fresh]
	for j := 1; j < len(w.stretches); j++ {
		s := &w.stretches[j]
		err := par.Range(w.ctx, s.hi-s.lo, 1<<14, func(lo, hi int) {
			for t := s.lo + lo; t < s.lo+hi; t++ {
				for c, v := range w.tris[t] {
					w.tris[t][c] = s.number[v]
				}
			}
		})
		if err != nil {
			return nil, err
		}
		for v, n := range s.number {
			if int(n) >= s.base {
				m.Vertices[n] = s.vertices[v]
			}
		}
	}
	return m, nil
}
