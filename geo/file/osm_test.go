package file

import (
	"context"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/paulmach/osm"
	"github.com/paulmach/osm/osmpbf"

	"limbround/geo"
)

func TestOSMCutsWaysAtJunctions(t *testing.T) {
	fs := mustAll(t, "../../testdata/import/streets.osm", Options{})
	var got []string
	problems := 0
	for _, f := range fs {
		problems += len(f.Problems)
		got = append(got, strings.Join(f.Values, ","))
	}
	want := []string{
		"way/100/0,First Street,residential,no,40,9144,,both,false,false,,",
		"way/100/1,First Street,residential,no,40,9144,,both,false,false,,",
		"way/101/0,Elm Avenue,collector,backward,,,2,right,false,false,,",
		"way/101/1,Elm Avenue,collector,backward,,,2,right,false,false,,",
		"way/102/0,Ridge Road,arterial,no,,,,none,true,true,4115,9072",
		"way/103/0,Hook Court,residential,no,,,,none,false,false,,", // up to the loop
		"way/103/1,Hook Court,residential,no,,,,none,false,false,,", // the loop
		"way/104/0,,alley,no,,,,none,false,false,,",
		"way/108/0,,arterial,forward,,,,none,false,false,,",
		"way/109/0,Edge Lane,residential,no,,,,none,false,false,,",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	if problems != 1 || !strings.Contains(fs[9].Problems[0].Rule, "1 of its 2 nodes are not in the extract") {
		t.Errorf("%d problems, the last feature has %v", problems, fs[9].Problems)
	}
	if pts := fs[6].Shape.Points(); len(pts) != 4 || pts[0] != pts[3] || pts[0] != (geo.Point{X: -75.5, Y: 39.703}) {
		t.Errorf("the loop is %v", pts)
	}
}

func TestOSMBoxKeepsRefs(t *testing.T) {
	box := &Box{-75.5001, 39.7019, -75.4999, 39.7021} // around node 3
	var refs []string
	for _, f := range mustAll(t, "../../testdata/import/streets.osm", Options{Box: box}) {
		refs = append(refs, f.Values[0])
	}
	if d := cmp.Diff([]string{"way/100/1", "way/103/0", "way/108/0"}, refs); d != "" {
		t.Error(d)
	}
}

func TestOSMValues(t *testing.T) {
	for _, tc := range []struct {
		f    func(string) float64
		in   string
		want float64 // NaN for unreadable
	}{
		{speedKmh, "50", 50},
		{speedKmh, "35 mph", 56.32704},
		{speedKmh, "35mph", 56.32704},
		{speedKmh, "none", math.NaN()},
		{speedKmh, "RU:urban", math.NaN()},
		{speedKmh, "30;50", math.NaN()},
		{lengthMm, "7.5", 7500},
		{lengthMm, "7.5 m", 7500},
		{lengthMm, "24'", 7315.2},
		{lengthMm, `11'6"`, 3505.2},
		{lengthMm, `11' 6"`, 3505.2},
		{lengthMm, "24 ft", 7315.2},
		{lengthMm, "default", math.NaN()},
		{lengthMm, `11'14"`, math.NaN()},
		{weightKg, "7.5", 7500},
		{weightKg, "8 st", 7257.47792},
		{weightKg, "16000 lbs", 7257.47792},
		{weightKg, "3500 kg", 3500},
		{weightKg, "", math.NaN()},
	} {
		got := tc.f(tc.in)
		if math.IsNaN(tc.want) != math.IsNaN(got) || math.Abs(got-tc.want) > 1e-6 {
			t.Errorf("%q: got %v, want %v", tc.in, got, tc.want)
		}
	}
}

// delaware is a public extract that comes with the OSM library's module.
func delaware(t *testing.T) string {
	t.Helper()
	out, err := exec.CommandContext(t.Context(), "go", "list", "-m", "-f", "{{.Dir}}", "github.com/paulmach/osm").Output()
	if err != nil {
		t.Fatalf("find the module of the OSM library: %v", err)
	}
	path := filepath.Join(strings.TrimSpace(string(out)), "testdata", "delaware-latest.osm.pbf")
	if _, err := os.Stat(path); err != nil {
		t.Fatal(err)
	}
	return path
}

// The blocks of a whole state, against a count made in another way: a way with
// k inner nodes that another use touches has k+1 blocks.
func TestOSMDelaware(t *testing.T) {
	path := delaware(t)
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	scan := osmpbf.New(context.Background(), f, 2)
	scan.SkipNodes, scan.SkipRelations = true, true
	uses := map[osm.NodeID]int{}
	ways := map[osm.WayID][]osm.NodeID{}
	for scan.Scan() {
		w := scan.Object().(*osm.Way)
		if _, ok := streetTags(w.Tags.Find); !ok || len(w.Nodes) < 2 {
			continue
		}
		for i, n := range w.Nodes {
			if i == 0 || n.ID != w.Nodes[i-1].ID {
				uses[n.ID]++
				ways[w.ID] = append(ways[w.ID], n.ID)
			}
		}
	}
	if err := scan.Err(); err != nil {
		t.Fatal(err)
	}
	want := 0
	for _, nodes := range ways {
		if len(nodes) < 2 {
			continue
		}
		want++
		for _, n := range nodes[1 : len(nodes)-1] {
			if uses[n] > 1 {
				want++
			}
		}
	}
	classes := map[string]int{}
	blocks, bridges, oneWays, problems := 0, 0, 0, 0
	for _, f := range mustAll(t, path, Options{}) {
		blocks++
		classes[f.Value("class")]++
		if f.Value("bridge") == "true" {
			bridges++
		}
		if f.Value("one_way") != "no" {
			oneWays++
		}
		problems += len(f.Problems)
	}
	if blocks != want || blocks != 70431 || len(ways) != 33400 {
		t.Errorf("%d blocks of %d ways, want %d; the extract has 70431 of 33400", blocks, len(ways), want)
	}
	if d := cmp.Diff(map[string]int{"arterial": 12294, "collector": 8073, "residential": 49590, "alley": 474}, classes); d != "" {
		t.Error(d)
	}
	if bridges != 546 || oneWays != 12724 || problems != 21 {
		t.Errorf("%d bridges, %d one-way blocks, %d without length", bridges, oneWays, problems)
	}
}
