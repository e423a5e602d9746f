package sheet

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"limbround/geo"
)

// The map is drawn here, not by a browser library: it must come out sharp on
// paper, the same every time, with no network. Streets within the frame of the
// stops, the stops numbered in order, a scale bar and a north mark.
const (
	mapWidth  = 720.0
	mapHeight = 380.0
	mapMargin = 60.0 // metres of ground kept around the outermost stop
)

type frame struct {
	min, max geo.Point
	scale    float64
}

func newFrame(stops []geo.Point) frame {
	f := frame{min: geo.Point{X: math.Inf(1), Y: math.Inf(1)}, max: geo.Point{X: math.Inf(-1), Y: math.Inf(-1)}}
	for _, p := range stops {
		f.min = geo.Point{X: math.Min(f.min.X, p.X-mapMargin), Y: math.Min(f.min.Y, p.Y-mapMargin)}
		f.max = geo.Point{X: math.Max(f.max.X, p.X+mapMargin), Y: math.Max(f.max.Y, p.Y+mapMargin)}
	}
	f.scale = math.Min(mapWidth/(f.max.X-f.min.X), mapHeight/(f.max.Y-f.min.Y))
	// Widen the shorter way, so that the drawing fills its box with streets.
	dx := (mapWidth/f.scale - (f.max.X - f.min.X)) / 2
	dy := (mapHeight/f.scale - (f.max.Y - f.min.Y)) / 2
	f.min, f.max = f.min.Sub(geo.Point{X: dx, Y: dy}), f.max.Add(geo.Point{X: dx, Y: dy})
	return f
}

func (f frame) at(p geo.Point) (x, y float64) {
	return (p.X - f.min.X) * f.scale, (f.max.Y - p.Y) * f.scale
}

func (f frame) inside(p geo.Point) bool {
	return p.X >= f.min.X && p.X <= f.max.X && p.Y >= f.min.Y && p.Y <= f.max.Y
}

// drawMap returns the map as an SVG element; empty when no stop has a position.
func drawMap(p *Packet) template.HTML {
	var stops []geo.Point
	for i := range p.Cards {
		if at := p.Cards[i].Site.Position; at.Valid() {
			stops = append(stops, at)
		}
	}
	if len(stops) == 0 {
		return ""
	}
	f := newFrame(stops)
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="map" viewBox="0 0 %.0f %.0f" role="img" aria-label="Map of the stops in order">`, mapWidth, mapHeight)
	for i := range p.Streets {
		drawStreet(&b, f, &p.Streets[i])
	}
	drawRoute(&b, f, p)
	if f.inside(p.Start) {
		x, y := f.at(p.Start)
		fmt.Fprintf(&b, `<rect x="%.1f" y="%.1f" width="12" height="12" class="depot"/>`, x-6, y-6)
	}
	drawScale(&b, f)
	fmt.Fprintf(&b, `<path d="M%.0f 34V8m-5 8l5-8 5 8" class="north"/><text x="%.0f" y="46" class="small">N</text></svg>`, mapWidth-16, mapWidth-20)
	return template.HTML(b.String()) //nolint:gosec // built from numbers and escaped names only
}

func drawStreet(b *strings.Builder, f frame, s *Street) {
	seen := false
	for _, p := range s.Line {
		seen = seen || f.inside(p)
	}
	if !seen {
		return
	}
	class := "street"
	if s.Main {
		class = "street main"
	}
	fmt.Fprintf(b, `<polyline class="%s" points="`, class)
	for _, p := range s.Line {
		x, y := f.at(p)
		fmt.Fprintf(b, "%.1f,%.1f ", x, y)
	}
	b.WriteString(`"/>`)
	if s.Name == "" || len(s.Line) < 2 {
		return
	}
	p, q := s.Line[0], s.Line[len(s.Line)-1]
	if p.Distance(q)*f.scale < 5.5*float64(len(s.Name)) {
		return // no room for the name
	}
	if q.X < p.X {
		p, q = q, p
	}
	x, y := f.at(p.Add(q).Scale(0.5))
	fmt.Fprintf(b, `<text class="name" transform="translate(%.1f %.1f) rotate(%.1f)" dy="-4">%s</text>`,
		x, y, -math.Atan2(q.Y-p.Y, q.X-p.X)*180/math.Pi, template.HTMLEscapeString(s.Name))
}

func drawRoute(b *strings.Builder, f frame, p *Packet) {
	b.WriteString(`<polyline class="route" points="`)
	for i := range p.Cards {
		if at := p.Cards[i].Site.Position; at.Valid() {
			x, y := f.at(at)
			fmt.Fprintf(b, "%.1f,%.1f ", x, y)
		}
	}
	b.WriteString(`"/>`)
	lastX, lastY := -100.0, -100.0
	for i := range p.Cards {
		at := p.Cards[i].Site.Position
		if !at.Valid() {
			continue
		}
		x, y := f.at(at)
		fmt.Fprintf(b, `<circle class="stop" cx="%.1f" cy="%.1f" r="3.5"/>`, x, y)
		if math.Hypot(x-lastX, y-lastY) > 13 { // a number for each tree of a dense row would cover the row
			fmt.Fprintf(b, `<text class="seq" x="%.1f" y="%.1f">%d</text>`, x+5, y-4, p.Cards[i].Stop.Seq)
			lastX, lastY = x, y
		}
	}
}

func drawScale(b *strings.Builder, f frame) {
	m := 1000.0
	for _, c := range []float64{20, 50, 100, 200, 500} {
		if c*f.scale > 60 {
			m = c
			break
		}
	}
	fmt.Fprintf(b, `<path class="scale" d="M10 %.1fv6h%.1fv-6"/><text class="small" x="12" y="%.1f">%.0f m</text>`, mapHeight-16, m*f.scale, mapHeight-20, m)
}
