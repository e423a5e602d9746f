package due

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"limbround/geo"
	"limbround/scheduler"
	"limbround/scheduler/growth"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// presetEngine builds an engine from an embedded policy, changed by edit.
func presetEngine(t testing.TB, name string, edit func(*scheduler.Policy)) *Engine {
	t.Helper()
	p := presetPolicy(t, name)
	if edit != nil {
		edit(&p)
	}
	return engineOf(t, p)
}

func engineOf(t testing.TB, p scheduler.Policy) *Engine {
	t.Helper()
	m, err := growth.Load()
	if err != nil {
		t.Fatal(err)
	}
	e, err := New(p, m, speciesTable(t))
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func day(s string) scheduler.Date {
	d, err := scheduler.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

// bare is a tree of which only the species is known.
func bare(species string) scheduler.Tree {
	return scheduler.Tree{
		ID: 1, SiteID: 1, Species: species, State: scheduler.Alive, Stems: 1, Caliper: geo.None, Stage: scheduler.StageUnknown, Vigour: scheduler.VigourGood,
		DBH: geo.None, Height: geo.None, Crown: geo.None, BaseRoad: geo.None, BaseWalk: geo.None, Permanent: geo.None,
	}
}

// street is a residential site, trunk 0.9 m from the curb and 1.2 m from the walk.
func street() scheduler.Site {
	return scheduler.Site{
		ID: 1, Owner: scheduler.OwnerCity, StreetClass: scheduler.Residential, ToCurb: 900, ToLane: 900, HalfRoad: 4500, ToWalk: 1200,
		WireClass: scheduler.WireNone, ToWire: geo.None, WireHeight: geo.None, ToSign: geo.None, ToLight: geo.None, ToJunction: geo.None,
	}
}

func parkingLane(s scheduler.Site) scheduler.Site {
	s.Parking, s.ToLane = true, 3300
	return s
}

// A story is one tree on one site under one policy, played over the years of
// its training: the calendar's own model of a visit done in full runs from
// visit to visit, and dated events (what a crew found or did, what died, what
// was built) interrupt it. Beside it stand the figures that were worked by
// hand from the published growth coefficients (McPherson, van Doorn & Peper
// 2016, PSW-GTR-253) and from common practice. Each story's golden file prints
// every visit with its reasons, and then both, line by line.
type story struct {
	name, preset string
	edit         func(*scheduler.Policy) // nil for the preset as it is
	tree         func() scheduler.Tree
	site         func() scheduler.Site
	began        string // t = 0 of the claims
	today        string // the calendar starts here
	years        int    // and runs this long
	events       []storyEvent
	claims       func() []storyClaim
}

// stories lists them all.
func stories() []story {
	return []story{
		plane(), ginkgo(), pinOak(), elm(), crabapple(), pearWithTwoTops(), mapleUnderWire(), linden(),
		pearWithoutDate(), honeylocust(), liveOak(), liveOakFlat(), crapeMyrtle(), zelkova(), zelkovaUnseen(),
	}
}

// TestStories holds the stories against their golden files.
func TestStories(t *testing.T) {
	for _, s := range stories() {
		t.Run(s.name, func(t *testing.T) {
			r := playStory(t, &s)
			var b bytes.Buffer
			r.print(&b)
			r.compare(t, &b)
			golden(t, s.name+".txt", b.Bytes())
		})
	}
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("%s differs (-want +got); rerun with -update if the change is meant:\n%s", path, diff)
	}
}
