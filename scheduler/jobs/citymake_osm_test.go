package jobs

import (
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"limbround/geo"
	"limbround/scheduler"
)

// A city on a real network: the public extract that comes with the OSM
// library's module, around the town of Dover, Delaware.
func TestCityMakeOnAnExtract(t *testing.T) {
	dir, err := exec.CommandContext(t.Context(), "go", "list", "-m", "-f", "{{.Dir}}", "github.com/paulmach/osm").Output()
	if err != nil {
		t.Fatal(err)
	}
	out := makeCity(t, CityMakeRequest{
		Trees: 20000, Seed: 1, Messy: true, Around: geo.Point{X: -75.524, Y: 39.158}, Radius: 6000,
		Streets: filepath.Join(strings.TrimSpace(string(dir)), "testdata", "delaware-latest.osm.pbf"),
	})
	t.Logf("%+v", out)
	if out.SRID != 32618 || out.Counts["trees"] < 20000 || out.Counts["streets"] < 1500 || out.Counts["history"] < 8000 {
		t.Errorf("EPSG:%d, %v", out.SRID, out.Counts)
	}
	planted := map[string]bool{}
	for _, r := range readFaults(t, out.Out) {
		planted[r[0]+":"+r[1]] = true
	}
	for _, l := range scheduler.Layers() {
		rows, rejected := readLayer(t, out.Out, l)
		if int64(rows) != out.Counts[l.Name] {
			t.Errorf("%s: %d rows read of %d", l.Name, rows, out.Counts[l.Name])
		}
		for line, fields := range rejected {
			if !planted[l.Name+":"+strconv.Itoa(line)] {
				t.Errorf("%s line %d was not spoilt, yet %v", l.Name, line, fields)
			}
		}
	}
}
