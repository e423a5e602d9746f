package published

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"limbround/scheduler"
)

// ofGroup is a species of the closed group in the program's table.
var ofGroup = map[string]string{"oak": "QUPA", "elm": "ULAM", "fire_blight": "MALUS", "honeylocust": "GLTR", "all": "ACRU"}

func monthDay(t testing.TB, s string) scheduler.MonthDay {
	t.Helper()
	m, err1 := strconv.Atoi(s[:2])
	d, err2 := strconv.Atoi(s[3:])
	if err1 != nil || err2 != nil {
		t.Fatalf("day of the year %q", s)
	}
	return scheduler.MonthDay{Month: m, Day: d}
}

// seasonOf is a row as a policy would write it.
func seasonOf(t testing.TB, r row) scheduler.Season {
	s := scheduler.Season{
		Name: r.text("authority"), Authority: r.text("authority"), Kind: scheduler.SeasonKind(r.text("kind")),
		From: monthDay(t, r.text("from")), To: monthDay(t, r.text("to")),
	}
	if r.text("group") != "all" {
		s.Groups = []string{r.text("group")}
	}
	return s
}

// Each published season, put into a policy alone, closes exactly its days to
// live cuts of its species, no day to others, and no day to work that cuts
// nothing; and the rules never let a visit begin or end on a closed day.
func TestSeasons(t *testing.T) {
	read := 0
	for _, r := range table(t, "seasons", 15) {
		if r.text("status") == "read" {
			read++
		}
		if r.text("kind") == "preferred" { // mid-summer for bleeders: a preference without dates
			continue
		}
		t.Run(r.text("authority")+" "+r.text("group"), func(t *testing.T) {
			season := seasonOf(t, r)
			rules := scheduler.SeasonRules{Special: []scheduler.Season{season}}
			training := []scheduler.WorkKind{scheduler.Training}
			closed := 0
			for d := day(t, "2027-01-01"); d < day(t, "2028-01-01"); d++ {
				shut := rules.ClosedOn(r.text("group"), training, d)
				if shut {
					closed++
				}
				md := d.String()[5:]
				inside := r.text("from") <= md && md <= r.text("to")
				if r.text("from") > r.text("to") {
					inside = md >= r.text("from") || md <= r.text("to")
				}
				if want := season.Kind == scheduler.SeasonClosed && inside || season.Kind == scheduler.SeasonAllowed && !inside; shut != want {
					t.Errorf("%s: closed %v, want %v", d, shut, want)
				}
				if rules.ClosedOn("maple", training, d) != (shut && r.text("group") == "all") || rules.ClosedOn(r.text("group"), []scheduler.WorkKind{scheduler.StumpGrinding}, d) {
					t.Errorf("%s: closes work that the rule does not name", d)
				}
			}
			if closed != r.whole("closed_days") {
				t.Errorf("%d days closed, want %d", closed, r.whole("closed_days"))
			}
			e := engine(t, "lower-midwest", func(p *scheduler.Policy) { p.Seasons.Special = []scheduler.Season{season} })
			for _, trained := range []string{"2023-01-14", "2024-06-20", "2025-01-14", "2025-11-30"} {
				for _, v := range e.Visits(young(t, ofGroup[r.text("group")], "2019-03-01", trained), lawn(), day(t, "2026-11-25")) {
					for _, d := range []scheduler.Date{v.Window.Earliest, v.Window.Due, v.Window.Latest} {
						if rules.ClosedOn(r.text("group"), v.Kinds, d) {
							t.Errorf("trained on %s: %s on a closed day in %+v", trained, d, v.Window)
						}
					}
				}
			}
		})
	}
	if read != 13 {
		t.Errorf("%d seasons were read, want 13", read)
	}
}

// A starting policy that names an authority of the table carries its days.
func TestPresetsCarryTheSeasonsTheyName(t *testing.T) {
	rows := table(t, "seasons", 15)
	named := 0
	for _, name := range scheduler.Presets() {
		p := preset(t, name)
		for _, s := range p.Seasons.Special {
			found, right := false, false
			for _, r := range rows {
				authority, _, _ := strings.Cut(r.text("authority"), " (")
				if !strings.Contains(s.Source, authority) || r.text("kind") == "preferred" || len(s.Groups) > 0 && s.Groups[0] != r.text("group") {
					continue
				}
				found = true
				right = right || string(s.Kind) == r.text("kind") && s.From == monthDay(t, r.text("from")) && s.To == monthDay(t, r.text("to"))
			}
			if found {
				named++
			}
			if found && !right {
				t.Errorf("%s: %s, %v to %v, is not what %q publishes", name, s.Name, s.From, s.To, s.Source)
			}
		}
	}
	if named < 5 {
		t.Errorf("only %d seasons name an authority of the table", named)
	}
}

// The species table carries the published ice ratings row by row, with what was
// read kept apart from what is from memory, and marks no other line with them.
func TestIce(t *testing.T) {
	b, err := os.ReadFile("../species.csv")
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(b)))
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := map[string]int{}
	for i, name := range lines[0] {
		column[name] = i
	}
	ours := map[string][]string{}
	marked := 0
	for _, line := range lines[1:] {
		ours[line[column["code"]]] = line
		if strings.HasPrefix(line[column["ice_source"]], "hauer") {
			marked++
		}
	}
	mark := map[string]string{"read": "hauer1994", "from memory": "hauer-mem"}
	classes, without, listed := map[string]int{}, 0, 0
	for _, r := range table(t, "ice", 36) {
		classes[r.text("class")]++
		if !r.has("code") {
			without++
			for _, line := range ours {
				if line[column["scientific"]] == r.text("species") {
					t.Errorf("%s is in the species table as %s", r.text("species"), line[column["code"]])
				}
			}
			continue
		}
		listed++
		line := ours[r.text("code")]
		if line == nil {
			t.Errorf("no species %s", r.text("code"))
			continue
		}
		genus, _, _ := strings.Cut(r.text("species"), " ")
		names := line[column["scientific"]] + ";" + line[column["synonyms"]]
		if !strings.Contains(names, r.text("species")) && (!strings.HasSuffix(r.text("species"), " spp.") || !strings.HasPrefix(names, genus+" ")) {
			t.Errorf("%s is not %s", r.text("code"), r.text("species"))
		}
		if line[column["ice"]] != r.text("class") || line[column["ice_source"]] != mark[r.text("status")] {
			t.Errorf("%s: %s from %s, published %s (%s)", r.text("species"), line[column["ice"]], line[column["ice_source"]], r.text("class"), r.text("status"))
		}
	}
	if marked != listed {
		t.Errorf("%d species name the publication, %d are in its list", marked, listed)
	}
	if classes["high"] != 10 || classes["medium"] != 8 || classes["low"] != 18 || without != 4 {
		t.Errorf("classes %v, %d without a line", classes, without)
	}
}
