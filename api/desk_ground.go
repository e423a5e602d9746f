package api

import (
	"context"
	"fmt"
	"html/template"
	"math"
	"strings"

	"limbround/geo"
	"limbround/scheduler"
)

// The districts are drawn here as SVG: shades of one grey-brown by the share
// of trees overdue, with the figure written on, so that nobody needs colour.

const groundWidth = 900.0

// ground draws the districts; empty when there are none.
func (s *server) ground(ctx context.Context, table *scheduler.OverdueTable) (template.HTML, error) {
	outlines, err := s.Store.Outlines(ctx)
	if err != nil || len(outlines) == 0 {
		return "", err
	}
	lo, hi := extent(outlines)
	scale := groundWidth / (hi.X - lo.X)
	at := func(p geo.Point) (float64, float64) { return (p.X - lo.X) * scale, (hi.Y - p.Y) * scale }
	share := map[string]float64{}
	for _, r := range table.Rows {
		share[r.District] = r.Share
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="ground" viewBox="-4 -4 %.0f %.0f" role="img" aria-label="Districts by share of trees overdue">`, groundWidth+8, (hi.Y-lo.Y)*scale+8)
	for _, o := range outlines {
		fmt.Fprintf(&b, `<a href="/map?district=%s"><path class="area" fill="%s" fill-rule="evenodd" d="`, template.URLQueryEscaper(o.Ref), shade(share[o.Ref]))
		for _, part := range o.Parts {
			for _, ring := range part {
				for i, p := range ring {
					x, y := at(p)
					fmt.Fprintf(&b, "%s%.1f %.1f", map[bool]string{true: "M", false: "L"}[i == 0], x, y)
				}
				b.WriteString("Z")
			}
		}
		b.WriteString(`"/></a>`)
	}
	for _, o := range outlines {
		x, y := at(middle(o))
		fmt.Fprintf(&b, `<text x="%.1f" y="%.1f">%s</text><text x="%.1f" y="%.1f">%.1f %%</text>`,
			x, y, template.HTMLEscapeString(o.Name), x, y+22, 100*share[o.Ref])
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String()), nil //nolint:gosec // numbers and escaped names
}

// shade goes from paper to brown as the share overdue goes from none to a third.
func shade(share float64) string {
	t := math.Min(1, share*3)
	mix := func(a, b float64) int { return int(a + (b-a)*t) }
	return fmt.Sprintf("rgb(%d,%d,%d)", mix(250, 178), mix(247, 112), mix(238, 72))
}

func extent(outlines []scheduler.Outline) (lo, hi geo.Point) {
	lo, hi = geo.Point{X: math.Inf(1), Y: math.Inf(1)}, geo.Point{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, o := range outlines {
		for _, part := range o.Parts {
			for _, p := range part[0] {
				lo = geo.Point{X: math.Min(lo.X, p.X), Y: math.Min(lo.Y, p.Y)}
				hi = geo.Point{X: math.Max(hi.X, p.X), Y: math.Max(hi.Y, p.Y)}
			}
		}
	}
	return lo, hi
}

// middle is the centroid of the outer ring with the largest area.
func middle(o scheduler.Outline) geo.Point {
	var best geo.Point
	most := 0.0
	for _, part := range o.Parts {
		ring := part[0]
		var area, x, y float64
		for i := 0; i+1 < len(ring); i++ {
			c := ring[i].X*ring[i+1].Y - ring[i+1].X*ring[i].Y
			area += c
			x += (ring[i].X + ring[i+1].X) * c
			y += (ring[i].Y + ring[i+1].Y) * c
		}
		if math.Abs(area) > most {
			most, best = math.Abs(area), geo.Point{X: x / (3 * area), Y: y / (3 * area)}
		}
	}
	return best
}
