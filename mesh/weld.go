package mesh

import (
	"context"
	"encoding/binary"
	"math"
	"math/bits"
	"math/rand/v2"

	"falsework/mesh/internal/par"
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
func Weld(ctx context.Context, records []byte) (*Mesh, error) {
	n := len(records) / RecordSize
	w := &welder{ctx: ctx, records: records, tris: make([][3]int32, n), seed: [2]uint64{rand.Uint64(), rand.Uint64()}}
	// Every worker reads all corners and keeps those of its own part of the
	// hash space: no locks, and each table is filled in the order of corners,
	// so that the first use it sees is the first of all.
	parts := min(par.Workers(n, 4096), 16)
	par.Each(parts, func(k int) { w.match(uint64(k), uint64(parts)) })
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return w.number()
}

// A welder holds the state of one Weld.
//
// A corner is numbered 3*triangle + its place in the triangle. Its leader is
// the first corner with its coordinates.
type welder struct {
	ctx     context.Context
	records []byte
	tris    [][3]int32 // per corner its leader, in the end its vertex
	seed    [2]uint64  // of the hash: no file can be made to collide everywhere
}

// A slot of the hash table: coordinates as bits, and the leader plus one.
type slot struct {
	xy     uint64
	z      uint32
	leader uint32
}

const minusZero = 1 << 31

// key returns the coordinates of a corner as bits, -0 made 0.
func key(corner []byte) (xy uint64, z uint32) {
	xy, z = binary.LittleEndian.Uint64(corner), binary.LittleEndian.Uint32(corner[8:])
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

// match finds the leader of every corner in part k of the hash space.
func (w *welder) match(k, parts uint64) {
	// A closed surface has half as many vertices as triangles; the table is
	// at most half full then, and doubles for surfaces that are not closed.
	table := make([]slot, 1<<bits.Len(uint(len(w.tris))/uint(parts)+8))
	mask := uint64(len(table) - 1)
	room := len(table) * 5 / 8
	for t := range w.tris {
		if t&0xffff == 0 && w.ctx.Err() != nil {
			return
		}
		rec := w.records[t*RecordSize+12 : t*RecordSize+48]
		for c := range 3 {
			xy, z := key(rec[12*c : 12*c+12])
			h := w.hash(xy, z)
			if (h>>32)*parts>>32 != k {
				continue
			}
			i := h & mask
			for table[i].leader != 0 && (table[i].xy != xy || table[i].z != z) {
				i = (i + 1) & mask
			}
			s := &table[i]
			if s.leader != 0 {
				w.tris[t][c] = int32(s.leader - 1)
				continue
			}
			corner := uint32(3*t + c)
			*s = slot{xy, z, corner + 1}
			w.tris[t][c] = int32(corner)
			if room--; room == 0 {
				table = w.double(table)
				mask = uint64(len(table) - 1)
				room = len(table) * 5 / 16
			}
		}
	}
}

func (w *welder) hash(xy uint64, z uint32) uint64 {
	hi, lo := bits.Mul64(xy^w.seed[0], (uint64(z)<<32|uint64(z))^w.seed[1])
	return hi ^ lo
}

func (w *welder) double(old []slot) []slot {
	table := make([]slot, 2*len(old))
	mask := uint64(len(table) - 1)
	for _, s := range old {
		if s.leader == 0 {
			continue
		}
		i := w.hash(s.xy, s.z) & mask
		for table[i].leader != 0 {
			i = (i + 1) & mask
		}
		table[i] = s
	}
	return table
}

// number replaces leaders by vertices. A vertex' number is how many corners
// before it lead: a bit per corner and a running count per word of bits,
// small enough to stay in the processor's cache.
func (w *welder) number() (*Mesh, error) {
	const grain = 64 * 256 // triangles; 64 of them fill three words exactly
	n := len(w.tris)
	leads := make([]uint64, (3*n+63)/64)
	before := make([]int32, len(leads)+1)
	err := par.Range(w.ctx, n, grain, func(lo, hi int) {
		for t := lo; t < hi; t++ {
			for c := range 3 {
				if corner := 3*t + c; int(w.tris[t][c]) == corner {
					leads[corner>>6] |= 1 << (corner & 63)
				}
			}
		}
	})
	if err != nil {
		return nil, err
	}
	for i, l := range leads {
		before[i+1] = before[i] + int32(bits.OnesCount64(l))
	}
	m := &Mesh{Vertices: make([][3]float32, before[len(leads)]), Triangles: w.tris}
	err = par.Range(w.ctx, n, grain, func(lo, hi int) {
		for t := lo; t < hi; t++ {
			for c := range 3 {
				l := w.tris[t][c]
				v := before[l>>6] + int32(bits.OnesCount64(leads[l>>6]&(1<<(l&63)-1)))
				w.tris[t][c] = v
				if int(l) == 3*t+c {
					xy, z := key(w.records[t*RecordSize+12+12*c : t*RecordSize+24+12*c])
					m.Vertices[v] = [3]float32{
						math.Float32frombits(uint32(xy)), math.Float32frombits(uint32(xy >> 32)), math.Float32frombits(z)}
				}
			}
		}
	})
	if err != nil {
		return nil, err
	}
	return m, nil
}
