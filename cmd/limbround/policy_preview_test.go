package main

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"limbround/scheduler"
)

// The manager looks at what another region's rules would move, finds every
// visit of the count in the list, adopts them, and reads the log of departures.
func TestPreviewAdoptDeviate(t *testing.T) {
	p := newHandmade(t, 2027, time.February, 2)
	p.ok("due")
	before := p.dump()
	file := write(t, "policy.yaml", p.ok("policy", "presets", "central-florida"))
	list := filepath.Join(t.TempDir(), "moves.csv")
	var res scheduler.PolicyPreview
	p.json(&res, "policy", "preview", file, "--list", list)
	if res.Trees != 3 || res.Looked != 3 || res.Earlier+res.Later+res.New+res.Withdrawn == 0 || !strings.HasSuffix(res.Words, " in another state.") {
		t.Errorf("preview %+v", res)
	}
	f, err := os.Open(list)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	listed := map[string]int{}
	for _, r := range rows[1:] {
		listed[r[3]]++
	}
	want := map[string]int{"earlier": res.Earlier, "later": res.Later, "new": res.New, "withdrawn": res.Withdrawn}
	for move, n := range want {
		if listed[move] != n {
			t.Errorf("the list has %d visits %s, the count %d", listed[move], move, n)
		}
	}
	if after := p.dump(); len(after) == 0 || !sameDump(before, after) {
		t.Error("the preview wrote")
	}
	if out := p.ok("policy", "preview", file); !strings.Contains(out, res.Words) || !strings.Contains(out, "work") {
		t.Errorf("in words:\n%s", out)
	}
	if out := p.ok("policy", "adopt", "--preview", file); !strings.Contains(out, res.Words) || !strings.Contains(out, "Version ") {
		t.Errorf("adopted:\n%s", out)
	}

	var d scheduler.Deviation
	p.json(&d, "deviations", "add", "--rule", "other", "--why", "festival", "--approved-by", "M. Ito", "--tree", "PL-001")
	if d.ID == 0 || d.Tree != "PL-001" {
		t.Errorf("logged %+v", d)
	}
	if out := p.ok("deviations", "--since", "2027-01-01"); !strings.Contains(out, "festival") || !strings.Contains(out, strconv.FormatInt(d.ID, 10)) {
		t.Errorf("the log:\n%s", out)
	}
	if out := p.ok("deviations", "--since", "2028-01-01"); strings.Contains(out, "festival") {
		t.Errorf("the log of next year:\n%s", out)
	}
}

func sameDump(a, b map[string][]string) bool {
	if len(a) != len(b) {
		return false
	}
	for table, rows := range a {
		if strings.Join(rows, "\n") != strings.Join(b[table], "\n") {
			return false
		}
	}
	return true
}
