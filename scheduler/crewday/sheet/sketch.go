package sheet

import (
	"fmt"
	"html/template"
	"strings"

	"limbround/scheduler"
)

// drawSketch draws the tree as seen along the street, with the curb on the
// left: stem, crown base, lowest permanent branch and the lettered watch items
// at their heights and sides. Not to scale sideways.
func drawSketch(c *Card) template.HTML {
	top := c.Tree.Height.M()
	if top <= 0 {
		top = 6
	}
	for _, w := range c.Tree.Watch {
		top = max(top, w.Height.M()+0.5)
	}
	y := func(m float64) float64 { return 128 - 116*m/top }
	var b strings.Builder
	b.WriteString(`<svg class="sketch" viewBox="0 0 150 150" role="img" aria-label="Sketch of the tree with its watch items, curb on the left">`)
	fmt.Fprintf(&b, `<path class="ground" d="M4 134h40v-6h102"/><text class="small" x="4" y="146">curb</text><text class="small" x="118" y="140">walk</text><path class="stem" d="M75 128V%.0f"/>`, y(top))
	base := c.Tree.BaseWalk
	if !base.Known() {
		base = c.Tree.BaseRoad
	}
	if base.Known() {
		fmt.Fprintf(&b, `<ellipse class="crown" cx="75" cy="%.0f" rx="42" ry="%.0f"/>`, (y(base.M())+y(top))/2, max(8, (y(base.M())-y(top))/2))
	}
	for _, w := range c.Tree.Watch {
		if w.Resolved || w.Height < 0 {
			continue
		}
		x := 75.0
		switch w.Side {
		case scheduler.SideRoad:
			x = 44
		case scheduler.SideWalk:
			x = 106
		case scheduler.SideUpStreet:
			x = 60
		case scheduler.SideDownStreet:
			x = 90
		}
		at := y(w.Height.M())
		fmt.Fprintf(&b, `<path class="branch" d="M75 %.0fL%.0f %.0f"/><circle class="mark" cx="%.0f" cy="%.0f" r="8"/><text class="letter" x="%.0f" y="%.0f">%s</text>`,
			at+10, x, at, x, at, x, at+4, template.HTMLEscapeString(w.Letter))
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String()) //nolint:gosec // numbers and an escaped letter
}
