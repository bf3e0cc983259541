package coupon

import (
	"fmt"
	"math"
	"sort"

	"falsework/mesh/section"
	"falsework/rib"
)

// Sizes of the test piece that no setting moves, mm. Bridges are as wide as a
// lintel in a 3 mm wall and lie along x, as that lintel's strands would.
const (
	sink      = 0.5  // how deep bodies stand in the plate
	tuck      = 0.4  // how far a bridge ends short of its outer posts, so that no faces lie in one plane
	margin    = 3.0  // plate beyond what stands on it
	post      = 5.0  // width of the posts between bridges, along x
	postDepth = 6.0  // depth of the posts, along y
	jamb      = 8.0  // width of the jambs of the ribbed opening, along x
	wall      = 3.0  // depth of a bridge, along y
	space     = 10.0 // clear height under a bridge
	gap       = 3.0  // between rows
	stepWidth = 10.0 // width of an overhang step, along y
	stepFoot  = 6.0  // its standing part, along x
	stepRise  = 10.0 // its height
	stepRun   = 25.0 // the farthest it may stand out
)

// A body stands on the plate: a profile in the x-z plane, from y0 to y1.
type body struct {
	profile section.Polygons
	y0, y1  float64
}

// A place is where something on the sheet is: a bridge or the ribbed opening,
// by its clear width and its corner of least x and y.
type place struct{ width, x, y float64 }

// A sheet is the test piece laid out, before it becomes a solid. Heights lie
// on boundaries of layers, so that every bridge begins with a whole layer.
type sheet struct {
	pen
	plate, figures, low, high float64 // tops of plate and figures, under- and upper side of bridges

	posts, steps, portal []body
	rails                []section.Polygons // in plan: from low to high
	windows              section.Polygons   // in the plate, under the bridges
	labels               section.Polygons
	bay                  place   // of the ribbed opening, width 0 without one
	width, depth, top    float64 // margins left out
}

// on rounds a height to a boundary of layers, one layer at least.
func (s Settings) on(z float64) float64 {
	v := s.Survey
	return v.FirstLayer + float64(v.Layer*math.Round(max(0, z-v.FirstLayer)/v.Layer))
}

// layOut places bridges, steps and the ribbed opening on the bed. It fails
// when they do not fit.
func layOut(s Settings) (*sheet, error) {
	sh := &sheet{pen: penFor(s.Survey.Nozzle)}
	sh.plate = s.on(max(0.8, 2*s.Survey.Layer))
	sh.figures = s.on(sh.plate + max(0.8, 2*s.Survey.Layer))
	sh.low = s.on(sh.plate + space)
	sh.high = s.on(sh.low + max(1.6, 4*s.Survey.Layer))
	w := s.Bed[0] - 2*margin
	y, err := sh.bridgeRows(s.Spans, w)
	if err != nil {
		return nil, err
	}
	if y, err = sh.stepRows(s, w, y); err != nil {
		return nil, err
	}
	if s.Ribbed {
		if y, err = sh.opening(s, w, y); err != nil {
			return nil, err
		}
	}
	sh.depth = y - gap
	if need := sh.depth + 2*margin; need > s.Bed[1] {
		return nil, &FitError{fmt.Sprintf("laid out in rows %g mm wide the test piece is %.0f mm deep, the bed only %g: choose fewer spans or slopes, or print it in two pieces", s.Bed[0], math.Ceil(need), s.Bed[1])}
	}
	if sh.top > s.Bed[2] {
		return nil, &FitError{fmt.Sprintf("the test piece is %.0f mm high, the bed allows only %g", math.Ceil(sh.top), s.Bed[2])}
	}
	return sh, nil
}

// bridgeRows packs the bridges into rows, longest first, each into the first
// row that has room. Neighbours share a post.
func (sh *sheet) bridgeRows(spans []float64, w float64) (float64, error) {
	order := append([]float64(nil), spans...)
	sort.Sort(sort.Reverse(sort.Float64Slice(order)))
	type row struct {
		used  float64
		spans []float64
	}
	var rows []row
	for _, l := range order {
		if l+2*post > w {
			return 0, &FitError{fmt.Sprintf("a bridge of %s mm, its posts and the margin take %s mm, the bed only %s in x: leave it out or give a larger bed", text(l), text(l+2*post+2*margin), text(w+2*margin))}
		}
		i := 0
		for i < len(rows) && rows[i].used+l+post > w {
			i++
		}
		if i == len(rows) {
			rows = append(rows, row{used: post})
		}
		rows[i].used += l + post
		rows[i].spans = append(rows[i].spans, l)
	}
	y := 0.0
	for _, r := range rows {
		sort.Float64s(r.spans)
		sh.bridgeRow(r.spans, r.used, y)
		y += sh.height + 1 + postDepth + gap
	}
	if len(rows) > 0 {
		sh.top = max(sh.top, sh.high)
	}
	return y, nil
}

// bridgeRow sets one row: figures in front, posts and bridges behind.
func (sh *sheet) bridgeRow(spans []float64, used, y float64) {
	front := y + sh.height + 1
	inset := (postDepth - wall) / 2
	sh.rails = append(sh.rails, section.Polygons{box(tuck, front+inset, used-tuck, front+inset+wall)})
	top := (sh.low + sh.high) / 2 // of the posts: inside the bridge, in no plane of its own
	x := 0.0
	for i := 0; ; i++ {
		sh.posts = append(sh.posts, body{section.Polygons{box(x, sh.plate-sink, x+post, top)}, front, front + postDepth})
		if i == len(spans) {
			break
		}
		l := spans[i]
		sh.windows = append(sh.windows, box(x+post+1, front, x+post+l-1, front+postDepth+gap))
		sh.label(text(l), x+post+(l-sh.measure(text(l)))/2, y)
		x += post + l
	}
	sh.width = max(sh.width, used)
}

func (sh *sheet) label(s string, x, y float64) {
	sh.labels = append(sh.labels, sh.draw(s, x, y)...)
}

// stepRows sets the overhang steps side by side, in as many rows as needed.
func (sh *sheet) stepRows(s Settings, w, y float64) (float64, error) {
	order := append([]float64(nil), s.Slopes...)
	sort.Float64s(order)
	x := 0.0
	z := s.on(sh.plate + 2)
	for _, lean := range order {
		rise, run := step(lean)
		name := text(lean) + "o"
		cell := max(stepFoot+run, sh.measure(name))
		if cell > w {
			return 0, &FitError{fmt.Sprintf("a step of %s degrees takes %.0f mm with the margin, the bed only %g in x: leave it out or give a larger bed", text(lean), math.Ceil(cell+2*margin), w+2*margin)}
		}
		if x > 0 && x+cell > w {
			x, y = 0, y+sh.height+1+stepWidth+gap
		}
		sh.steps = append(sh.steps, body{section.Polygons{{
			{x, sh.plate - sink}, {x + stepFoot, sh.plate - sink}, {x + stepFoot, z},
			{x + stepFoot + run, z + rise}, {x + run, z + rise}, {x, z}}},
			y + sh.height + 1, y + sh.height + 1 + stepWidth})
		sh.label(name, x, y)
		sh.width = max(sh.width, x+cell)
		sh.top = max(sh.top, z+rise)
		x += cell + gap
	}
	if len(order) > 0 {
		y += sh.height + 1 + stepWidth + gap
	}
	return y, nil
}

// step returns rise and run of an overhang step that leans by so many degrees.
func step(lean float64) (rise, run float64) {
	t := math.Tan(lean * math.Pi / 180)
	rise = min(stepRise, stepRun/t)
	return rise, rise * t
}

// opening sets a doorway in a 3 mm wall, to be carried by ribs.
func (sh *sheet) opening(s Settings, w, y float64) (float64, error) {
	wide, high := doorway(s.Survey.Limit, s.Rib)
	if wide+2*jamb > w {
		return 0, &FitError{fmt.Sprintf("the opening of %s mm that is carried by ribs, its jambs and the margin take %s mm, the bed only %s in x: give a larger bed or leave it out", text(wide), text(wide+2*jamb+2*margin), text(w+2*margin))}
	}
	low := s.on(sh.plate + high)
	top := s.on(low + max(wall, 4*s.Survey.Layer))
	y0 := y + sh.height + 1
	foot := sh.plate - sink
	sh.portal = append(sh.portal, body{section.Polygons{{
		{0, foot}, {jamb, foot}, {jamb, low}, {jamb + wide, low}, {jamb + wide, foot},
		{2*jamb + wide, foot}, {2*jamb + wide, top}, {0, top}}}, y0, y0 + wall})
	name := "n" + text(math.Round(s.Rib.Spacing*10)/10)
	sh.label(name, jamb+(wide-sh.measure(name))/2, y)
	sh.bay = place{wide, jamb, y0}
	sh.width = max(sh.width, wide+2*jamb)
	sh.top = max(sh.top, top)
	return y0 + wall + gap, nil
}

// doorway is the size of the opening carried by ribs: as many whole bays of
// the spacing, two at least, as pass the limit, so that it does need ribs and
// they stand as far apart as they will on a part; and as high as takes one
// brace, so that braces are tried, too.
func doorway(limit float64, r rib.Settings) (wide, high float64) {
	for n := 2.0; wide < limit+2; n++ {
		wide = math.Floor(2*(float64(n*r.Spacing)+float64((n-1)*r.Width))) / 2
	}
	return wide, math.Ceil(max(2*space, min(1.3*r.BracePitch, 80)))
}
