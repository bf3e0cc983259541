package union

import "falsework/mesh"

// RandomTrial gives the random housings of this package's tests to those that
// stand outside of it.
func RandomTrial(seed uint64) (part *mesh.Mesh, tools []*mesh.Mesh) {
	tr := randomTrial(seed)
	return tr.part, tr.tools
}
