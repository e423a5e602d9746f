package due

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
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

// show prints trips for a golden file: everything a person would read.
func show(b *bytes.Buffer, d *draft, visits []scheduler.Visit) {
	for _, v := range visits {
		size := d.proj.At(v.Window.Due)
		fmt.Fprintf(b, "%s  (%s / %s / %s)  %s  %s\n", v.Season, v.Window.Earliest, v.Window.Due, v.Window.Latest, v.State, words(v.Kinds))
		fmt.Fprintf(b, "    dbh %.1f cm, height %.1f m; class %d, score %d, %s, %d min, %d l of chips, dose %d %%\n",
			size.DBH.CM(), size.Height.M(), v.Class, v.Score, v.Skill, v.Minutes, v.ChipsL, v.Dose)
		for i, s := range v.Objectives {
			fmt.Fprintf(b, "    %d. %s\n", i+1, s)
		}
		for _, s := range v.Limits {
			fmt.Fprintf(b, "    limit: %s\n", s)
		}
		for _, s := range v.Cautions {
			fmt.Fprintf(b, "    caution: %s\n", s)
		}
		for _, r := range v.Reasons {
			fmt.Fprintf(b, "    %s: %s [%s]\n", r.Rule, r.Text, r.Source)
		}
	}
}

func words(kinds []scheduler.WorkKind) string {
	out := make([]string, len(kinds))
	for i, k := range kinds {
		out[i] = string(k)
	}
	return strings.Join(out, " + ")
}

type story struct {
	name, preset string
	edit         func(*scheduler.Policy)
	tree         func() scheduler.Tree
	site         func() scheduler.Site
	today        string
}

// stories are trees whose trips over twenty years are held as golden files.
var stories = []story{
	{
		name: "london_plane_parking_lane", preset: "northeast", today: "2027-01-10",
		tree: func() scheduler.Tree {
			t := bare("PLAC")
			t.Planted, t.Precision, t.Caliper, t.Stage = day("2027-01-05"), scheduler.PreciseDay, geo.Inches(2), scheduler.StageEstablishing
			return t
		},
		site: func() scheduler.Site { return parkingLane(street()) },
	},
	{
		name: "pin_oak_closed_season", preset: "northeast", today: "2027-01-10",
		edit: func(p *scheduler.Policy) {
			p.Seasons.Special = []scheduler.Season{oakWisconsin()}
		},
		tree: func() scheduler.Tree {
			t := bare("QUPA")
			t.Planted, t.Precision, t.Caliper, t.Stage = day("2027-01-05"), scheduler.PreciseDay, geo.Inches(3), scheduler.StageEstablishing
			return t
		},
		site: func() scheduler.Site { return parkingLane(street()) },
	},
	{
		name: "crabapple_two_tops_bus_lane", preset: "lower-midwest", today: "2027-01-10",
		tree: func() scheduler.Tree {
			t := bare("MALUS")
			t.Planted, t.Precision, t.Stage = day("2020-01-05"), scheduler.PreciseDay, scheduler.StageLeader
			t.DBH, t.Height, t.MeasuredOn = 106, 4100, day("2027-01-08")
			t.BaseRoad, t.BaseWalk, t.BaseOn = 1500, 1600, day("2027-01-08")
			t.LastTraining, t.LastVisit, t.LastRaise = day("2027-01-08"), day("2027-01-08"), day("2027-01-08")
			t.DoseSeason, t.DoseUsed = 2027, 25
			t.Watch = []scheduler.WatchItem{{
				ID: 1, TreeID: 1, Letter: "B", What: "competing top", Height: 1900, Side: scheduler.SideRoad, Diameter: 56, StemDiameter: 70, IncludedBark: true,
				Done: "reduced by half", Intent: scheduler.HoldTier, ReducedOn: day("2027-01-08"), SeenOn: day("2027-01-08"),
			}}
			return t
		},
		site: func() scheduler.Site {
			s := street()
			s.BusRoute, s.StreetClass = true, scheduler.Collector
			return s
		},
	},
	{
		name: "callery_pear_no_date", preset: "lower-midwest", today: "2026-11-25",
		tree: func() scheduler.Tree {
			t := bare("PYCA")
			t.DBH, t.MeasuredOn = 220, day("2026-06-01")
			return t
		},
		site: func() scheduler.Site {
			s := parkingLane(street())
			s.StreetClass = scheduler.Arterial
			return s
		},
	},
	{
		name: "zelkova_never_trained", preset: "northeast", today: "2027-01-10",
		tree: func() scheduler.Tree {
			t := bare("ZESE")
			t.Planted, t.Precision = day("2018-01-05"), scheduler.PreciseDay
			return t
		},
		site: func() scheduler.Site { return parkingLane(street()) },
	},
	{
		name: "zelkova_after_first_visit", preset: "northeast", today: "2027-01-16",
		tree: func() scheduler.Tree {
			t := bare("ZESE")
			t.Planted, t.Precision, t.Stage = day("2018-01-05"), scheduler.PreciseDay, scheduler.StageLeader
			t.DBH, t.Height, t.MeasuredOn = 141, 7100, day("2027-01-15")
			t.BaseRoad, t.BaseWalk, t.BaseOn = 2000, 2500, day("2027-01-15")
			t.LastTraining, t.LastVisit, t.LastRaise = day("2027-01-15"), day("2027-01-15"), day("2027-01-15")
			t.DoseSeason, t.DoseUsed = 2027, 25
			item := func(letter string, mm, stem geo.Length, intent scheduler.Intent) scheduler.WatchItem {
				return scheduler.WatchItem{
					TreeID: 1, Letter: letter, What: "competing leader", Height: 2200, Side: scheduler.SideUpStreet, Diameter: mm, StemDiameter: stem,
					Done: "reduced by half", Intent: intent, ReducedOn: day("2027-01-15"), SeenOn: day("2027-01-15"),
				}
			}
			t.Watch = []scheduler.WatchItem{item("A", 35, 80, scheduler.RemoveLater), item("B", 42, 90, scheduler.RemoveLater), item("C", 50, 55, scheduler.HoldTier)}
			return t
		},
		site: func() scheduler.Site { return parkingLane(street()) },
	},
}

// TestStories holds the calendars of the stories against their golden files.
func TestStories(t *testing.T) {
	for _, s := range stories {
		t.Run(s.name, func(t *testing.T) {
			e := presetEngine(t, s.preset, s.edit)
			tree, site := s.tree(), s.site()
			d := draft{e: e, t: &tree, s: &site}
			d.p = e.species[tree.Species]
			d.proj = d.p.curve.Project(tree, e.policy.Effective)
			var b bytes.Buffer
			show(&b, &d, e.Calendar(tree, site, day(s.today), 20))
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

func oakWisconsin() scheduler.Season {
	return scheduler.Season{
		Name: "oak", Kind: scheduler.SeasonClosed, From: scheduler.MonthDay{Month: 4, Day: 1}, To: scheduler.MonthDay{Month: 7, Day: 31},
		Groups: []string{"oak"}, Authority: "Wisconsin DNR", Source: "Wisconsin DNR",
	}
}
