package published

import (
	"encoding/csv"
	"os"
	"slices"
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

// spelled is how a starting policy's source names an authority of the table,
// where it does not use the table's words.
var spelled = map[string]string{"Ramsey County MN": "Ramsey County, Minnesota", "England nesting guidance": "University of Exeter"}

// All starting policies carry the days of the authorities they name, and every
// season that closes names one. Of the others only the dates of nesting stand on
// memory, and say so.
func TestPresetsCarryTheSeasonsTheyName(t *testing.T) {
	rows := table(t, "seasons", 15)
	carried := map[string]int{}
	for _, name := range scheduler.Presets() {
		p := preset(t, name)
		for _, s := range p.Seasons.Special {
			found, right := "", false
			for _, r := range rows {
				authority, _, _ := strings.Cut(r.text("authority"), " (")
				words := authority
				if other, has := spelled[authority]; has {
					words = other
				}
				if !strings.Contains(s.Source, words) || r.text("kind") == "preferred" || len(s.Groups) > 0 && s.Groups[0] != r.text("group") {
					continue
				}
				if string(s.Kind) == r.text("kind") && s.From == monthDay(t, r.text("from")) && s.To == monthDay(t, r.text("to")) {
					found, right = authority, true
				} else if found == "" {
					found = authority
				}
			}
			switch {
			case found != "" && !right:
				t.Errorf("%s: %s, %v to %v, is not what %q publishes", name, s.Name, s.From, s.To, s.Source)
			case found != "":
				carried[found]++
			case s.Closes():
				t.Errorf("%s: %s closes days and names no authority of the table: %q", name, s.Name, s.Source)
			case s.Kind == scheduler.SeasonCheckFirst && !strings.Contains(s.Source, "memory"):
				t.Errorf("%s: %s says not where its days come from: %q", name, s.Name, s.Source)
			}
		}
	}
	if len(scheduler.Presets()) != 15 {
		t.Errorf("%d starting policies, want 15", len(scheduler.Presets()))
	}
	for _, authority := range []string{
		"Univ. of Minnesota Extension", "Minnesota DNR", "Wisconsin DNR", "Michigan DNR", "Texas A&M Forest Service", "Iowa DNR", "Saskatchewan",
		"Ramsey County MN", "England nesting guidance",
	} {
		if carried[authority] == 0 {
			t.Errorf("no starting policy carries the days of %s", authority)
		}
	}
}

// The year of a starting policy is its hemisphere's: July is winter in the south
// and summer in the north, birds nest in the local spring, and what is due in the
// dormant season falls due in it.
func TestSeasonsOfTheSouth(t *testing.T) {
	south := []string{"canterbury-new-zealand", "new-south-wales", "victoria"}
	holds := func(from, to, d scheduler.MonthDay) bool {
		before := func(a, b scheduler.MonthDay) bool { return a.Month < b.Month || a.Month == b.Month && a.Day <= b.Day }
		if before(from, to) {
			return before(from, d) && before(d, to)
		}
		return before(from, d) || before(d, to)
	}
	inside := func(from, to scheduler.MonthDay, month int) bool {
		return holds(from, to, scheduler.MonthDay{Month: month, Day: 15})
	}
	for _, name := range scheduler.Presets() {
		winter, spring, summer := 1, 4, 7
		if slices.Contains(south, name) {
			winter, spring, summer = 7, 10, 1
		}
		p := preset(t, name)
		if d, l := p.Seasons.Dormant, p.Seasons.LeafOn; !inside(d.From, d.To, winter) || inside(d.From, d.To, summer) || !inside(l.From, l.To, summer) || inside(l.From, l.To, winter) {
			t.Errorf("%s: dormant %v, in leaf %v", name, d, l)
		}
		nests := 0
		for _, s := range p.Seasons.Special {
			if s.Kind == scheduler.SeasonCheckFirst {
				nests++
				if !inside(s.From, s.To, spring) {
					t.Errorf("%s: %s from %v to %v leaves out the spring", name, s.Name, s.From, s.To)
				}
			}
		}
		if nests == 0 {
			t.Errorf("%s has no nesting season", name)
		}
		v := visit(engine(t, name, nil).Visits(young(t, "ACRU", "2020-06-01", "2022-01-10"), lawn(), day(t, "2026-11-25")), scheduler.Training)
		if v == nil || !holds(p.Seasons.Dormant.From, p.Seasons.Dormant.To, monthDay(t, v.Window.Due.String()[5:])) {
			t.Errorf("%s: training due %+v, dormant %v", name, v, p.Seasons.Dormant)
		}
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
