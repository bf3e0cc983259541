package union

import (
	"fmt"
	"os"
	"testing"

	"falsework/mesh"
	"falsework/mesh/meshtest/property"
)

// Of random housings with random ribs none comes out faulty, and none fails to
// come out.
func TestRandomHousings(t *testing.T) {
	t.Parallel()
	n := 25
	if property.Long() {
		n = 10000
	}
	// A long run may be shared out: FALSEWORK_SHARD=I/N.
	part, of := uint64(0), uint64(1)
	if _, err := fmt.Sscanf(os.Getenv("FALSEWORK_SHARD"), "%d/%d", &part, &of); err == nil {
		part--
	}
	var sum tally
	for seed := part; seed < uint64(n); seed += of {
		tr := randomTrial(seed)
		r, err := Unite(tr.part, tr.tools)
		if err != nil {
			t.Errorf("seed %d: %v", seed, err)
			continue
		}
		if err := sum.judge(tr.part, r); err != nil {
			t.Errorf("seed %d: %v", seed, err)
		}
		if sum.cases%1000 == 0 {
			t.Log(&sum)
		}
	}
	t.Log(&sum)
}

// neighbourhood returns the new triangles of a result and those that share a
// vertex with them.
func neighbourhood(r *Result) *mesh.Mesh {
	close := make([]bool, len(r.Mesh.Vertices))
	for i, k := range r.Mesh.Triangles {
		if r.Source[i] < 0 {
			close[k[0]], close[k[1]], close[k[2]] = true, true, true
		}
	}
	out := &mesh.Mesh{Vertices: r.Mesh.Vertices}
	for _, k := range r.Mesh.Triangles {
		if close[k[0]] || close[k[1]] || close[k[2]] {
			out.Triangles = append(out.Triangles, k)
		}
	}
	return out
}
