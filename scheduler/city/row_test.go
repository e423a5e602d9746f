package city

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// checkRow holds a row against its layer's own rules.
func checkRow(l *scheduler.Layer, e *Entry) error {
	if len(e.Row.Values) != len(l.Fields) {
		return fmt.Errorf("%d values for %d fields", len(e.Row.Values), len(l.Fields))
	}
	for i, v := range e.Row.Values {
		f := &l.Fields[i]
		n, bounded := 0.0, f.Min != 0 || f.Max != 0
		var ok bool
		switch x := v.(type) {
		case nil:
			if f.Required {
				return fmt.Errorf("%s is missing", f.Name)
			}
			continue
		case string:
			ok = x != "" && (f.Kind == scheduler.FieldText || f.Kind == scheduler.FieldEnum && slices.Contains(f.Enum, x) || f.Name == "planted")
			bounded = false
		case int64:
			n, ok = float64(x), f.Kind == scheduler.FieldInt
		case geo.Length:
			n, ok = float64(x), f.Kind == scheduler.FieldLength
		case scheduler.Date:
			ok, bounded = f.Kind == scheduler.FieldDate && x <= today, false
		case bool:
			ok, bounded = f.Kind == scheduler.FieldBool, false
		default:
			ok = false
		}
		if !ok || bounded && (n < f.Min || n > f.Max) {
			return fmt.Errorf("%s is %v (%T)", f.Name, v, v)
		}
	}
	kind := map[scheduler.GeometryKind]geo.ShapeKind{
		scheduler.GeometryNone: geo.ShapeEmpty, scheduler.GeometryPoint: geo.ShapePoint,
		scheduler.GeometryLine: geo.ShapeLine, scheduler.GeometryArea: geo.ShapeArea,
	}[l.Geometry]
	if e.Row.Shape.Kind() != kind || kind != geo.ShapeEmpty && e.Row.Shape.SRID() != 4326 {
		return fmt.Errorf("shape is %q in %d", e.Row.Shape.Kind(), e.Row.Shape.SRID())
	}
	for _, p := range e.Row.Shape.Points() {
		if p.Distance(centre) > 0.3 {
			return fmt.Errorf("a position at %v", p)
		}
	}
	return nil
}

func TestRowsKeepTheRulesOfTheirLayers(t *testing.T) {
	c := mustMake(t, Request{Trees: 12000, Seed: 4})
	refs := map[string]map[any]bool{}
	check := func(name string, e Entry) {
		l, _ := scheduler.LayerNamed(name)
		if err := checkRow(&l, &e); err != nil || len(e.Faults) > 0 {
			t.Errorf("%s row %d: %v %v", name, e.Row.Line, err, e.Faults)
		}
		if refs[name] == nil {
			refs[name] = map[any]bool{}
		}
		if refs[name][e.Row.Values[0]] {
			t.Errorf("%s: ref %v stands twice", name, e.Row.Values[0])
		}
		refs[name][e.Row.Values[0]] = true
		if len(refs[name]) != e.Row.Line {
			t.Errorf("%s: row %d is numbered %d", name, len(refs[name]), e.Row.Line)
		}
	}
	for _, l := range scheduler.Layers() {
		for e := range c.Rows(l.Name) {
			check(l.Name, e)
			if l.Name == "crews" && !refs["depots"][e.Row.Values[2]] {
				t.Errorf("crew %v has no depot", e.Row.Values)
			}
		}
	}
	for s := range c.Trees() {
		check("trees", s.Tree)
		for _, e := range s.History {
			check("history", e)
		}
	}
	for _, l := range scheduler.Layers() {
		if len(refs[l.Name]) == 0 {
			t.Errorf("layer %s is empty", l.Name)
		}
	}
	if len(refs["history"]) < 6000 {
		t.Errorf("only %d past visits", len(refs["history"]))
	}
}

func TestHistoryFitsItsTree(t *testing.T) {
	c := mustMake(t, Request{Trees: 12000, Seed: 4})
	kinds := map[any]int{}
	for s := range c.Trees() {
		last := s.life.planted
		for _, e := range s.History {
			v := e.Row.Values
			on, _ := v[2].(scheduler.Date)
			if v[1] != s.Tree.Row.Values[fieldRef] || on <= last.AddDays(20) || on >= today {
				t.Errorf("visit %v to a tree planted on %s, last visited on %s", v, s.life.planted, last)
			}
			last = on
			kinds[v[3]]++
			if s.life.kind.season != "" && v[5] != nil && on.Month() > 3 && on.Month() < 11 {
				t.Errorf("%s worked on %s", s.life.kind.name, on)
			}
		}
	}
	for _, k := range []scheduler.WorkKind{
		scheduler.Establishment, scheduler.Training, scheduler.WalkClearance, scheduler.RoadClearance, scheduler.RotationPrune, scheduler.FirstLook,
	} {
		if kinds[string(k)] == 0 {
			t.Errorf("no past visit of kind %s: %v", k, kinds)
		}
	}
}

func TestSpeciesAreInTheTable(t *testing.T) {
	table, err := scheduler.SpeciesTable()
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	for i := range table {
		known[strings.ToLower(table[i].Scientific)] = true
		for _, s := range table[i].Synonyms {
			known[strings.ToLower(s)] = true
		}
	}
	for _, k := range kinds() {
		if !known[strings.ToLower(k.name)] {
			t.Errorf("%s is not in the species table", k.name)
		}
	}
}

func TestOneLiftTestHasRunOut(t *testing.T) {
	c := mustMake(t, Request{Trees: 12000, Seed: 1})
	expired, skills := 0, map[any]int{}
	for e := range c.Rows("crews") {
		skills[e.Row.Values[4]]++
		text, _ := e.Row.Values[14].(string)
		for part := range strings.SplitSeq(text, "; ") {
			_, day, _ := strings.Cut(part, "=")
			d, err := scheduler.ParseDate(day)
			if err != nil {
				t.Error(err)
			}
			if d < today {
				expired++
			}
		}
	}
	if expired != 1 || len(skills) != 3 {
		t.Errorf("%d tickets have run out, crews by skills %v", expired, skills)
	}
}
