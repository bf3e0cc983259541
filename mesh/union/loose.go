package union

import (
	"errors"
	"fmt"
	"slices"

	"falsework/mesh"
)

// When the part overlaps itself where a solid meets it, not all of its shells
// can be cut together. Each piece of the solid is then united with as many
// whole shells as go without conflict, the larger first, and the others stay
// overlapping, as they came. A piece that goes with none becomes a shell of
// its own. What is cut or shared is cut shell by shell, each with its cavities.
// A shell that is inside out is no overlap: it is refused.

// most is the number of shells tried for one piece.
const most = 64

// settle applies the operation shell by shell. tool is in its final place.
func (r *Result) settle(part, tool *mesh.Mesh, op operation) error {
	if at, ok := insideOut(part, tool.Bounds()); ok {
		return &broken{InsideOut, 0, at}
	}
	if op.unites() {
		return r.uniteShells(part, tool, op)
	}
	groups := bodies(part)
	r.start(part)
	var all *Result
	for n, g := range groups {
		from := r
		if op.inside[0] {
			from = &Result{}
			from.start(part)
		}
		in := make([]bool, len(from.Mesh.Triangles))
		for i, s := range from.Source {
			in[i] = s >= 0 && slices.Contains(g.shells, g.of[s])
		}
		c, err := solve(from.Mesh, func(t int32) bool { return in[t] }, tool, op)
		if err != nil {
			return fmt.Errorf("body %d of %d: %w", n+1, len(groups), err)
		}
		r.Report.Overlap += c.overlap
		r.Report.Move = max(r.Report.Move, c.move)
		from.replace(c)
		if op.inside[0] {
			all = joined(all, from)
		}
	}
	if all != nil {
		r.Mesh, r.Source = all.Mesh, all.Source
	}
	r.Report.Volume = volume(r.Mesh)
	r.Report.Notes = append(r.Report.Notes, "the part's bodies overlap where it is cut; each was cut on its own and they still overlap")
	return nil
}

// start makes r the part itself.
func (r *Result) start(part *mesh.Mesh) {
	r.Mesh = part
	r.Source = sequence(len(part.Triangles))
}

// replace carries out a change on r's mesh.
func (r *Result) replace(c *change) {
	before := r.Source
	m, src := c.apply(r.Mesh)
	for i, s := range src {
		if s >= 0 {
			src[i] = before[s]
		}
	}
	r.Mesh, r.Source = m, src
}

// joined puts two results into one mesh, untouched triangles first and in
// order.
func joined(a, b *Result) *Result {
	if a == nil {
		return b
	}
	m := &mesh.Mesh{Vertices: append(slices.Clone(a.Mesh.Vertices), b.Mesh.Vertices...)}
	n := int32(len(a.Mesh.Vertices))
	type item struct {
		k   [3]int32
		src int32
	}
	var old, fresh []item
	for i, k := range a.Mesh.Triangles {
		if s := a.Source[i]; s >= 0 {
			old = append(old, item{k, s})
		} else {
			fresh = append(fresh, item{k, s})
		}
	}
	for i, k := range b.Mesh.Triangles {
		k = [3]int32{k[0] + n, k[1] + n, k[2] + n}
		if s := b.Source[i]; s >= 0 {
			old = append(old, item{k, s})
		} else {
			fresh = append(fresh, item{k, s})
		}
	}
	slices.SortStableFunc(old, func(x, y item) int { return int(x.src - y.src) })
	out := &Result{Mesh: m}
	for _, x := range append(old, fresh...) {
		m.Triangles = append(m.Triangles, x.k)
		out.Source = append(out.Source, x.src)
	}
	return out
}

// uniteShells adds the pieces of a solid one by one.
func (r *Result) uniteShells(part, tool *mesh.Mesh, op operation) error {
	r.start(part)
	for n, piece := range pieces(tool) {
		c, err := solve(r.Mesh, nil, piece, op)
		var clash *conflict
		switch {
		case err == nil:
		case errors.As(err, &clash) && clash.own == 0:
			if c, err = r.someShells(n, piece, op, clash); err != nil {
				return err
			}
		default:
			return err
		}
		r.Report.Overlap += c.overlap
		r.Report.Move = max(r.Report.Move, c.move)
		r.replace(c)
	}
	r.Report.Volume = volume(r.Mesh)
	return nil
}

// someShells finds the shells of the mesh that piece n can be united with.
func (r *Result) someShells(n int, piece *mesh.Mesh, op operation, clash *conflict) (*change, error) {
	of, shells := shellsOf(r.Mesh)
	near := piece.Bounds()
	var order []int32
	for i, s := range shells {
		if overlap(s.box, near) {
			order = append(order, int32(i))
		}
	}
	slices.SortStableFunc(order, func(i, j int32) int {
		a, b := abs(shells[i].volume), abs(shells[j].volume)
		switch {
		case a > b:
			return -1
		case a < b:
			return 1
		}
		return int(i - j)
	})
	chosen := make([]bool, len(shells))
	var best *change
	count := 0
	for _, s := range order[:min(len(order), most)] {
		chosen[s] = true
		c, err := solve(r.Mesh, func(t int32) bool { return chosen[of[t]] }, piece, op)
		if err == nil && (c.cuts > 0 || best != nil) {
			best = c
			count++
			continue
		}
		// A shell that does not meet the piece must not stand in the way of
		// others either.
		chosen[s] = false
	}
	at := fmt.Sprintf("near (%.2f, %.2f, %.2f), where the part overlaps itself", clash.at[0], clash.at[1], clash.at[2])
	if best != nil {
		r.Report.Notes = append(r.Report.Notes, fmt.Sprintf("added piece %d is united with %d of %d shells %s; it overlaps the others", n+1, count, len(order), at))
		return best, nil
	}
	r.Report.Loose++
	r.Report.Notes = append(r.Report.Notes, fmt.Sprintf("added piece %d stays a closed shell of its own %s", n+1, at))
	c := &change{keepRest: true}
	for _, k := range piece.Triangles {
		c.added = append(c.added, [3]int32{-1 - k[0], -1 - k[1], -1 - k[2]})
	}
	c.fresh = piece.Vertices
	return c, nil
}

func overlap(a, b mesh.Box) bool {
	for k := range 3 {
		if a.Min[k] > b.Max[k] || b.Min[k] > a.Max[k] {
			return false
		}
	}
	return true
}
