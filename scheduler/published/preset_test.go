package published

import (
	"testing"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/due"
	"limbround/scheduler/growth"
)

func preset(t testing.TB, name string) scheduler.Policy {
	t.Helper()
	b, err := scheduler.Preset(name)
	if err != nil {
		t.Fatal(err)
	}
	p, err := scheduler.ParsePolicy(b)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// engine applies the preset after an edit to the species of the program's table.
func engine(t testing.TB, name string, edit func(*scheduler.Policy)) *due.Engine {
	t.Helper()
	species, err := scheduler.SpeciesTable()
	if err != nil {
		t.Fatal(err)
	}
	return engineOf(t, name, edit, species)
}

func engineOf(t testing.TB, name string, edit func(*scheduler.Policy), species []scheduler.Species) *due.Engine {
	t.Helper()
	p := preset(t, name)
	if edit != nil {
		edit(&p)
	}
	m, err := growth.Load()
	if err != nil {
		t.Fatal(err)
	}
	e, err := due.New(p, m, species)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func day(t testing.TB, s string) scheduler.Date {
	t.Helper()
	d, err := scheduler.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// young is a tree of the species in the leader stage, trained on a day.
func young(t testing.TB, species, planted, trained string) scheduler.Tree {
	tree := scheduler.Tree{
		ID: 1, SiteID: 1, Species: species, State: scheduler.Alive, Stems: 1, Stage: scheduler.StageLeader, Vigour: scheduler.VigourGood,
		Planted: day(t, planted), Precision: scheduler.PreciseDay, Caliper: geo.Inches(2),
		DBH: geo.None, Height: geo.None, Crown: geo.None, BaseRoad: geo.None, BaseWalk: geo.None, Permanent: geo.None,
	}
	if trained != "" {
		tree.LastTraining, tree.LastVisit = day(t, trained), day(t, trained)
	}
	return tree
}

// lawn is a site with neither street nor walk nor wire.
func lawn() scheduler.Site {
	return scheduler.Site{
		ID: 1, Owner: scheduler.OwnerCity, WireClass: scheduler.WireNone,
		ToCurb: geo.None, ToLane: geo.None, HalfRoad: geo.None, ToWalk: geo.None, ToWire: geo.None, WireHeight: geo.None,
		ToSign: geo.None, ToLight: geo.None, ToJunction: geo.None,
	}
}

// visit is the tree's visit that includes the kind of work, nil for none.
func visit(visits []scheduler.Visit, kind scheduler.WorkKind) *scheduler.Visit {
	for i := range visits {
		for _, k := range visits[i].Kinds {
			if k == kind {
				return &visits[i]
			}
		}
	}
	return nil
}
