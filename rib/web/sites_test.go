package web

import (
	"falsework/mesh/section"
)

// A scene is a site with a name and what the scheme should be called; an empty
// scheme means that any will do.
type scene struct {
	name, scheme string
	site         Site
}

// bay is a site with a section made of overlapping shapes and one ceiling.
func bay(under Interval, shapes ...section.Path) Site {
	return flat(section.Union(section.Polygons(shapes), nil), under)
}

func iv(from, to, z0, z1 float64, left, right bool) Interval {
	return Interval{From: from, To: to, Z: [2]float64{z0, z1}, Hold: [2]bool{left, right}}
}

// scenes are the sections a rib meets, each drawn beside its shapes: # is the
// part, the ceiling is on top.
func scenes() []scene {
	return []scene{
		{"roof", "one corbel and one leg", roof(147, 254)},
		{"hall", "", hall(147, 254)},
		{"hall of 60", "two corbels", hall(60, 254)},
		{"low roof", "", roof(147, 20)},
		{"sheet", "", roof(40, 2.6)},
		// #########
		// #       |   wall with a window from 100 to 220, a post 150 high
		//     #
		// #   #
		// #########
		{"window and post", "one corbel and one leg", bay(iv(0, 147, 254, 254, true, false),
			rect(-3, -3, 147, 0), rect(-3, -3, 0, 100), rect(-3, 220, 0, 257), rect(-3, 254, 147, 257), rect(90, -3, 94, 150))},
		// #######
		// #
		// ###         a shelf below the roof
		// #######
		{"shelf", "", bay(iv(0, 60, 100, 100, true, false),
			rect(-3, 0, 0, 103), rect(-3, 100, 60, 103), rect(-3, 40, 20, 43), rect(-3, 0, 60, 3))},
		// #########
		// ##          a floor that falls steeply from the wall
		// ####
		// #########
		{"hopper", "", bay(iv(0, 103, 100, 100, true, false),
			section.Path{{-3, 0}, {103, 0}, {103, 10}, {50, 10}, {0, 90}, {0, 103}, {-3, 103}}, rect(-3, 100, 103, 103))},
		//     #####
		//   #         a wall that leans away below the roof
		// #########
		{"leaning wall", "", bay(iv(0, 80, 100, 100, true, false),
			section.Path{{-60, 0}, {-57, 0}, {0, 100}, {80, 100}, {80, 103}, {-3, 103}}, rect(-60, 0, 80, 3))},
		// #####
		// #   #####   a stepped roof
		// #
		// #########
		{"stepped roof", "", bay(iv(0, 120, 80, 100, true, false),
			rect(-3, 0, 0, 103), rect(-3, 100, 60, 103), rect(57, 80, 60, 103), rect(57, 80, 120, 83), rect(-3, 0, 120, 3))},
		//       ###
		//   ####      a roof that rises gently
		// ##
		// #########
		{"slope", "", bay(iv(0, 120, 80, 110, true, false),
			rect(-3, 0, 0, 83), section.Path{{-3, 80}, {120, 110}, {120, 113}, {-3, 83}}, rect(-3, 0, 120, 3))},
		// ######
		// #           a round hole through the wall, 10 high
		//
		// #
		// ######
		{"hole", "", bay(iv(0, 60, 100, 100, true, false),
			rect(-3, 0, 0, 70), rect(-3, 80, 0, 103), rect(-3, 100, 60, 103), rect(-3, 0, 60, 3))},
		// ##### #####
		//    # #      a mushroom, nothing but the bed below
		//    # #
		{"mushroom", "one corbel", bay(iv(5, 60, 100, 100, true, false), rect(-5, 0, 5, 103), rect(-60, 100, 60, 103))},
		{"island", "", bay(iv(0, 50, 60, 60, false, false), rect(0, 60, 50, 64), rect(100, 0, 110, 80))},
		// ###########
		// #    #    #  a post under the roof: two stretches
		// #    #    #
		// ###########
		{"two bays", "two corbels; two corbels", bay(iv(0, 120, 80, 80, true, true),
			rect(-3, 0, 0, 83), rect(120, 0, 123, 83), rect(58, 0, 62, 83), rect(-3, 80, 123, 83), rect(-3, 0, 123, 3))},
	}
}

// mirrored is the same site seen from behind.
func mirrored(s Site) Site {
	m := s
	for k := range 3 {
		m.Sections[2-k] = flipped(s.Sections[k])
	}
	m.Jamb = flipped(s.Jamb)
	m.Under, m.Forbidden = nil, nil
	for i := len(s.Under) - 1; i >= 0; i-- {
		u := s.Under[i]
		m.Under = append(m.Under, Interval{From: -u.To, To: -u.From, Z: u.Z, Hold: [2]bool{u.Hold[1], u.Hold[0]}})
	}
	for _, b := range s.Forbidden {
		m.Forbidden = append(m.Forbidden, Box{U: [2]float64{-b.U[1], -b.U[0]}, Z: b.Z})
	}
	if s.Grounded != nil {
		m.Grounded = func(u, z float64) bool { return s.Grounded(-u, z) }
	}
	return m
}

func flipped(p section.Polygons) section.Polygons {
	var out section.Polygons
	for _, r := range p {
		var f section.Path
		for i := len(r) - 1; i >= 0; i-- {
			f = append(f, section.Point{-r[i][0], r[i][1]})
		}
		out = append(out, f)
	}
	return out
}
