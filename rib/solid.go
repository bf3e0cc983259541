package rib

import (
	"falsework/mesh"
	"falsework/mesh/section"
)

// solid is the web as a prism about its plane. Its ends are snapped by
// [section.Prism] to a grid of about a micron, whatever the direction.
func (r *Rib) solid(width float64) *mesh.Mesh {
	m, err := section.Prism(r.Outline, r.axis.line().Frame(), -width/2, width/2)
	if err != nil {
		return &mesh.Mesh{}
	}
	return m
}

// upright is a plan extruded between two heights.
func upright(p section.Polygons, z [2]float64) *mesh.Mesh {
	m, err := section.Prism(p, section.Level(0), z[0], z[1])
	if err != nil {
		return &mesh.Mesh{}
	}
	return m
}
