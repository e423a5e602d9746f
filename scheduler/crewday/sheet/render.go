package sheet

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"

	"limbround/scheduler"
)

//go:embed packet.html
var page string

//go:embed sheet.css
var style string

// Render writes the packet as one HTML page, ready to print on Letter or A4.
func Render(w io.Writer, p Packet) error {
	u := units{us: p.City.Units != "metric"}
	inRoad := zones(&p, u)
	t, err := template.New("packet").Funcs(template.FuncMap{
		"height": u.height, "width": u.width, "clock": clock, "words": words, "hours": hours,
		"map":      func() template.HTML { return drawMap(&p) },
		"qr":       func(visit int64) (template.HTML, error) { return drawQR(fmt.Sprintf("%s%d", p.CardURL, visit)) },
		"style":    func() template.CSS { return template.CSS(style) }, //nolint:gosec // our own file
		"weekday":  func(d scheduler.Date) string { return d.Time().Format("Monday 2 January 2006") },
		"sketch":   func(c Card) template.HTML { return drawSketch(&c) },
		"ratio":    func(w scheduler.WatchItem) string { return ratio(&w) },
		"total":    func() int { return len(p.Cards) },
		"dump":     func(id int64) string { return p.Dumps[id] },
		"stopCard": func(s scheduler.Stop) *Card { return p.card(s.ID, s.Seq) },
		"limits":   limits,
		"live":     liveCuts,
		"used":     func(c Card) int { return used(&c, p.Season) },
		"zones":    func() []zone { return inRoad },
		"zoneNote": func() string { return zoneNote(inRoad, u) },
		"run":      u.run, "gap": u.gap,
	}).Parse(page)
	if err != nil {
		return fmt.Errorf("parse packet page: %w", err)
	}
	if err := t.Execute(w, p); err != nil {
		return fmt.Errorf("render packet %d: %w", p.Packet.ID, err)
	}
	return nil
}

func (p *Packet) card(id int64, seq int) *Card {
	for i := range p.Cards {
		if s := &p.Cards[i].Stop; s.ID == id && s.Seq == seq {
			return &p.Cards[i]
		}
	}
	return nil
}

// words turns a stored word into text: "road_clearance" becomes "road clearance".
func words(v any) string { return strings.ReplaceAll(fmt.Sprint(v), "_", " ") }

func hours(min int) string { return fmt.Sprintf("%d:%02d", min/60, min%60) }

// used is the live crown already taken in the growing season that the packet's day draws on.
func used(c *Card, season int) int {
	if c.Tree.DoseSeason == season {
		return c.Tree.DoseUsed
	}
	return 0
}

// liveCuts reports whether the visit takes live wood, so that the card says what stays.
func liveCuts(v scheduler.Visit) bool { return slices.ContainsFunc(v.Kinds, scheduler.WorkKind.Cuts) }

// limits are the visit's limits but the live crown to take, which the card says
// together with what the season has already used of it.
func limits(v scheduler.Visit) []string {
	return slices.DeleteFunc(slices.Clone(v.Limits), func(l string) bool { return strings.HasPrefix(l, "Live crown to take") })
}

func ratio(w *scheduler.WatchItem) string {
	r := w.AspectRatio()
	if r == 0 {
		return ""
	}
	return fmt.Sprintf("ratio %.2f", r)
}
