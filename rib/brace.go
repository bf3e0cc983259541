package rib

import (
	"errors"
	"maps"
	"math"
	"slices"
	"sort"

	"falsework/rib/web"
)

// Measures of braces, in millimetres.
const (
	braceInset = 0.02 // a brace stays that far inside the edges of a web
	braceClear = 5.0  // kept off ceilings and crests
	braceEnd   = 0.2  // how far a brace's end enters a wall at least
	braceLeast = 0.8  // of depth that a web must offer a brace: two beads
	braceSkew  = 1.0  // how far along the next web for the way to it: half a right angle
)

// A bracer ties the webs of one ceiling.
type bracer struct {
	*shaper
	slices *layers
	lines  []ribLine
	webs   []*web.Web
	walks  []*web.Walk
	column bool
	pains  pains
	closer bool // above a ceiling that needs no ribs less than braceClear will do
	chains []*chain
	runs   []stretch            // of webs, over all heights
	widths map[[2]int][]stretch // by web and layer
	tried  map[question]*chain
}

// A question is where a brace through a web was tried; u in hundredths.
type question struct {
	web, u, layer int
	closer        bool
}

// Pains is how far the bracing of webs goes that cannot be made steady.
type pains int

const (
	briefly pains = iota // one loose web says enough
	fairly               // a web that cannot be steadied gets no braces of its own
	fully                // it gets all that find a place
)

// brace ties every web that cannot stand by itself, with the fewest chains it
// finds: those asked for are added until every web is steady, then each that
// is not missed is taken away again. It returns the webs left unsteady.
func (b *bracer) brace() (loose []int) {
	if b.column {
		b.columnHeights()
	}
	for i := range b.webs {
		if !b.steady(i) {
			loose = append(loose, i)
			if b.pains == briefly {
				return loose
			}
		}
	}
	b.prune(loose)
	sort.SliceStable(b.chains, func(i, j int) bool { return b.chains[i].z[0] < b.chains[j].z[0] })
	return loose
}

// rounds is how often a web may ask for what it still misses, as long as it gets
// something: a chain holds a web where there is room for it, which is not always
// where it was asked for.
const rounds = 16

// steady adds the chains that a web misses and tells whether it stands.
func (b *bracer) steady(i int) bool {
	if b.held(i) {
		return true
	}
	// A lintel within the limit that has set carries a brace's end as a wall does,
	// and a rib that stands is worth more than the usual distance.
	b.closer = true
	defer func() { b.closer = false }()
	return b.held(i)
}

// held adds the chains that a web misses where they find a place, and tells
// whether it stands.
func (b *bracer) held(i int) bool {
	walk := b.walks[i]
	at := func(u, z float64) *chain {
		k := question{i, int(math.Round(u * 100)), b.slices.nearest(z), b.closer}
		c, ok := b.tried[k]
		if !ok {
			if b.tried == nil {
				b.tried = map[question]*chain{}
			}
			c, _ = b.chain(i, u, k.layer)
			b.tried[k] = c
		}
		return c
	}
	for range rounds {
		have := b.ties(i, nil)
		if walk.Stable(have) {
			return true
		}
		brace := walk.Brace
		if b.pains == fully && b.closer {
			brace = walk.Some
		}
		set, err := brace(have, func(u, z float64) bool {
			c := at(u, z)
			return c != nil && b.clear(c)
		})
		if set == nil && err != nil {
			return false
		}
		before := len(b.chains)
		for _, x := range set {
			if c := at(x.U, x.Z[0]); c != nil && b.clear(c) {
				b.chains = append(b.chains, c)
			}
		}
		if len(b.chains) == before {
			break
		}
	}
	return walk.Stable(b.ties(i, nil))
}

// fault says where a loose web misses its first brace, and what is in the way
// of most of those that might hold it there.
func (b *bracer) fault(i int) (at [3]float64, why string) {
	b.closer = true
	defer func() { b.closer = false }()
	count := map[string]int{}
	_, err := b.walks[i].Brace(b.ties(i, nil), func(u, z float64) bool {
		c, no := b.chain(i, u, b.slices.nearest(z))
		if c != nil && !b.clear(c) {
			no = "another brace is too near"
		}
		count[no]++
		return false
	})
	for _, no := range slices.Sorted(maps.Keys(count)) {
		if why == "" || count[no] > count[why] {
			why = no
		}
	}
	if why == "" {
		why = "too near to the ceiling or to what it stands on for a brace"
	}
	var e *web.PlaceError
	if errors.As(err, &e) {
		p := b.lines[i].at(e.U)
		at = [3]float64{p[0], p[1], e.Z}
	}
	return at, why
}

// ties lists the braces that hold a web, without those of one chain.
func (b *bracer) ties(i int, without *chain) []web.Brace {
	var out []web.Brace
	for _, c := range b.chains {
		if c == without {
			continue
		}
		for _, t := range c.ties {
			if t.web == i {
				out = append(out, web.Brace{U: t.u, Z: c.z})
			}
		}
	}
	sort.SliceStable(out, func(x, y int) bool { return out[x].Z[0] < out[y].Z[0] })
	return out
}

// prune takes away every chain that no web needs, the last first.
func (b *bracer) prune(loose []int) {
	if b.column {
		return // practice sets those at a plain pitch
	}
	given := map[int]bool{}
	for _, i := range loose {
		given[i] = true
	}
	for k := len(b.chains) - 1; k >= 0; k-- {
		c := b.chains[k]
		needed := false
		for _, t := range c.ties {
			if given[t.web] || !b.walks[t.web].Stable(b.ties(t.web, c)) {
				needed = true
				break
			}
		}
		if !needed {
			b.chains = append(b.chains[:k], b.chains[k+1:]...)
		}
	}
}
