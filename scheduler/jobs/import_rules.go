package jobs

import (
	"fmt"
	"slices"
	"strings"

	"limbround/geo"
	"limbround/scheduler"
)

// rowRules are the rules between the fields of one row, by layer. They see the
// faults found so far and return the further ones.
var rowRules = map[string]func(*plan, *scheduler.Row, []scheduler.Fault) []scheduler.Fault{
	"trees": treeRules,
	"crews": crewRules,
}

// fields gives typed access to a row's values by field name.
type fields struct {
	layer *scheduler.Layer
	row   *scheduler.Row
	bad   []scheduler.Fault
}

func (f *fields) text(name string) string {
	s, _ := f.row.Values[f.layer.Field(name)].(string)
	return s
}

func (f *fields) length(name string) geo.Length {
	if l, ok := f.row.Values[f.layer.Field(name)].(geo.Length); ok {
		return l
	}
	return geo.None
}

func (f *fields) date(name string) scheduler.Date {
	d, _ := f.row.Values[f.layer.Field(name)].(scheduler.Date)
	return d
}

func (f *fields) fault(field, value, rule string) {
	f.bad = append(f.bad, scheduler.Fault{Line: f.row.Line, Field: field, Value: value, Rule: rule})
}

// The greatest height a standing street tree has for its dbh. Slender
// forest trees reach a ratio near 150; above 200 one of the two numbers is in
// another unit (common practice, from memory).
const (
	slender      = 200
	breastHeight = 1370 // mm; 4.5 ft
)

// treeRules hold between the fields of one tree.
func treeRules(p *plan, row *scheduler.Row, before []scheduler.Fault) []scheduler.Fault {
	f := fields{layer: &p.layer, row: row}
	state := scheduler.TreeState(f.text("state"))
	if state == "" {
		state = scheduler.Alive // the layer's default
	}
	dbh, height, crown := f.length("dbh_mm"), f.length("height_mm"), f.length("crown_spread_mm")
	if state == scheduler.Alive {
		if i := p.layer.Field("species"); p.fields[i].bound() && row.Values[i] == nil && !faulted(before, "species") {
			f.fault("species", "", "a living tree has a species; only a site without a living tree may leave it empty")
		}
		if height == 0 {
			f.fault("height_mm", "0", "a living tree has a height; leave it empty when nobody measured it")
		}
		if dbh == 0 && height != 0 && (height > breastHeight || !height.Known()) {
			f.fault("dbh_mm", "0", "a living tree taller than breast height has a dbh; leave it empty when nobody measured it")
		}
		if crown == 0 {
			f.fault("crown_spread_mm", "0", "a living tree has a crown; leave it empty when nobody measured it")
		}
	}
	if dbh > 0 && height > 5*geo.Metre && int64(height) > slender*int64(dbh) {
		f.fault("dbh_mm", dbh.String(), fmt.Sprintf("a tree %s tall cannot stand on a dbh of %s; is the dbh in inches, or the height in feet?", height, dbh))
	}
	for _, base := range []string{"base_road_mm", "base_walk_mm"} {
		if b := f.length(base); b.Known() && height.Known() && b > height {
			f.fault(base, b.String(), fmt.Sprintf("the lowest foliage is above the top of the tree (%s)", height))
		}
	}
	planted, measured := f.date("planted"), f.date("measured_on")
	if !planted.IsZero() && !measured.IsZero() && measured < planted {
		f.fault("measured_on", measured.String(), fmt.Sprintf("measured before the tree was planted (%s)", planted))
	}
	if !planted.IsZero() && f.text("planted_precision") == string(scheduler.PreciseNone) {
		f.fault("planted_precision", "none", "a planting date is known to a day, month, season or year")
	}
	return f.bad
}

func faulted(list []scheduler.Fault, field string) bool {
	return slices.ContainsFunc(list, func(f scheduler.Fault) bool { return f.Field == field })
}

// crewRules check the texts that hold lists.
func crewRules(p *plan, row *scheduler.Row, _ []scheduler.Fault) []scheduler.Fault {
	f := fields{layer: &p.layer, row: row}
	known := []string{string(scheduler.Ground), string(scheduler.Lift), string(scheduler.LineClearance)}
	for _, s := range strings.Fields(f.text("skills")) {
		if !slices.Contains(known, s) {
			f.fault("skills", s, "not one of "+strings.Join(known, ", "))
		}
	}
	for t := range strings.SplitSeq(f.text("tickets"), ";") {
		if t = strings.TrimSpace(t); t == "" {
			continue
		}
		name, day, ok := strings.Cut(t, "=")
		if _, err := scheduler.ParseDate(strings.TrimSpace(day)); !ok || err != nil || strings.TrimSpace(name) == "" {
			f.fault("tickets", t, "write a ticket as name=YYYY-MM-DD, several parted by semicolons")
		}
	}
	return f.bad
}
