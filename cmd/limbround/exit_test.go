package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"limbround/scheduler"
)

// unreachable is a database that nobody serves.
const unreachable = "postgres://nobody@127.0.0.1:1/none?connect_timeout=2"

func write(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestExitCodes(t *testing.T) {
	p := newHandmade(t, 2027, time.February, 2)
	trees := filepath.Join(byHand, "trees.csv")
	for _, tc := range []struct {
		name string
		args []string
		code int
		says string // on standard error
	}{
		{"no verb", nil, exitBadUsage, "expected one of"},
		{"unknown verb", []string{"prune"}, exitBadUsage, "prune"},
		{"unknown flag", []string{"due", "--tomorrow"}, exitBadUsage, "--tomorrow"},
		{"a flag's value is no date", []string{"due", "--as-of", "soon"}, exitBadUsage, "soon"},
		{"a flag's value is no number", []string{"year", "plan", "--year", "next"}, exitBadUsage, "next"},
		{"a missing flag", []string{"packets", "build"}, exitBadUsage, "--from"},
		{"a missing argument", []string{"calendar"}, exitBadUsage, "tree"},
		{"too many arguments", []string{"calendar", "PL-001", "PL-002"}, exitBadUsage, "PL-002"},
		{"a file that is not there", []string{"import", "trees", "nowhere.csv"}, exitBadUsage, "nowhere.csv"},
		{"a role that is none", []string{"token", "add", "x", "--role", "king"}, exitBadUsage, "king"},
		{"age and dbh", []string{"growth", "--region", "LoMidW", "--species", "ACRU", "--age", "3", "--dbh", "4"}, exitBadUsage, "--age"},
		{"a log level that is none", []string{"--log-level", "loud", "overdue"}, exitBadUsage, "loud"},

		{"an unknown layer", []string{"import", "hedges", trees}, exitBadInput, "hedges"},
		{"an unknown tree", []string{"calendar", "PL-999"}, exitBadInput, "PL-999"},
		{"an unknown region", []string{"growth", "--region", "Atlantis", "--species", "ACRU", "--age", "3"}, exitBadInput, "Atlantis"},
		{"a growth rule by no curve", []string{"policy", "check", write(t, "g.yaml", preset(t, "northeast")+"growth:\n  species:\n    - {species: ACRU, curve: Nihil novum, source: x}\n")}, exitBadInput, "no published curve"},
		{"measured trees without columns", []string{"growth", "compare", write(t, "m.csv", "a,b\n")}, exitBadInput, "region,species,age"},
		{"too few trees for a shift", []string{"growth", "calibrate", "--least", "2"}, exitBadInput, "want 3 or more"},
		{"an unknown batch", []string{"import", "undo", "999"}, exitBadInput, "999"},
		{"an unknown packet", []string{"packets", "issue", "999"}, exitBadInput, "999"},
		{"an unknown packet to print", []string{"packets", "print", "999"}, exitBadInput, "999"},
		{"an unknown plan", []string{"year", "adopt", "999"}, exitBadInput, "999"},
		{"an unknown preset", []string{"policy", "presets", "moon"}, exitBadInput, "moon"},
		{"an unknown token", []string{"token", "end", "999"}, exitBadInput, ""},
		{"an unknown time zone", []string{"settings", "--time-zone", "Mars/Olympus"}, exitBadInput, "Mars/Olympus"},
		{"a day that is over", []string{"packets", "build", "--from", "2020-01-06"}, exitBadInput, "2020-01-06"},
		{"a year that no calendar has", []string{"year", "plan", "--year", "20260"}, exitBadInput, "want 1900 to 2200"},
		{"a year that is over", []string{"year", "plan", "--year", "2020"}, exitBadInput, "it is over"},
		{"explain without a tree", []string{"due", "--explain"}, exitBadInput, "explain"},
		{"a box of three", []string{"import", "streets", filepath.Join(byHand, "streets.geojson"), "--box=-85,40,-84"}, exitBadInput, "box"},
		{"around nothing", []string{"city", "make", "--out", t.TempDir(), "--around", "here"}, exitBadInput, "here"},
		{"a policy that breaks rules", []string{"policy", "check", write(t, "p.yaml", "name: x\nreach: 5\n")}, exitBadInput, "line"},
		{"a file without rows", []string{"import", "trees", write(t, "t.csv", "ref,lon,lat\n")}, exitBadInput, "no rows"},
		{"records that are no JSON", []string{"record", "add", write(t, "r.json", "half done")}, exitBadInput, "read records"},
		{"records with a misspelt field", []string{"record", "add", write(t, "r.json", `{"trea_id": 1}`)}, exitBadInput, "trea_id"},
		{"records that are not there", []string{"record", "add", "nowhere.json"}, exitBadInput, "nowhere.json"},
		{"a record that breaks rules", []string{"record", "add", write(t, "r.json", `{"id": "1"}`)}, exitBadInput, "1 record refused"},

		{"advice without a tree", []string{"advise", "--role", "stub"}, exitBadUsage, "--tree"},
		{"advice without rules", []string{"advise", "--species", "ACRU", "--role", "stub"}, exitBadInput, "--policy"},
		{"advice on a role that is none", []string{"advise", "--species", "ACRU", "--policy", "northeast", "--role", "twig", "--diameter", "9"}, exitBadInput, "basal_sprout"},
		{"advice in a region without curves", []string{"advise", "--species", "ACRU", "--policy", "northeast", "--region", "Moon", "--role", "stub"}, exitBadInput, "LoMidW"},
		{"advice by a policy that is none", []string{"advise", "--species", "ACRU", "--policy", "nowhere", "--role", "stub"}, exitBadInput, "presets"},
		{"advice on a tree that is not there", []string{"advise", "--tree", "PL-999", "--role", "stub", "--diameter", "9"}, exitBadInput, "PL-999"},
		{"a watch item that is not there", []string{"advise", "--tree", "PL-001", "--letter", "Q"}, exitBadInput, "watch item"},
		{"a rating without its time frame", []string{"risk", "--failure", "probable", "--impact", "high", "--consequence", "severe", "--years", "0"}, exitBadInput, "time frame"},
		{"streets without room for the trees", []string{"city", "make", "--trees", "5000", "--streets", filepath.Join(byHand, "streets.geojson"), "--out", t.TempDir()}, exitInfeasible, "room"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			p := &program{t: t, url: p.url, clock: p.clock}
			code, out, errOut := p.run(tc.args...)
			if code != tc.code || !strings.Contains(errOut, tc.says) {
				t.Errorf("limbround %s: exit %d, want %d saying %q\n%s%s", strings.Join(tc.args, " "), code, tc.code, tc.says, out, errOut)
			}
		})
	}
}

// TestUnavailableDatabase: every verb that needs the database ends with 5 when
// there is none.
func TestUnavailableDatabase(t *testing.T) {
	record := write(t, "r.json", "[]")
	for _, args := range []string{
		"settings", "import list", "import undo 1", "policy list", "due", "calendar X", "advise --tree X --role stub --diameter 9", "overdue", "year plan --year 2027", "year list",
		"packets build --from 2027-02-01", "packets list --from 2027-02-01", "packets issue 1", "packets print 1", "token list", "doctor",
		"serve --addr 127.0.0.1:0", "worker", "migrate", "record add " + record, "demo --once --trees 10 --work " + t.TempDir(),
	} {
		t.Run(args, func(t *testing.T) {
			p := &program{t: t, url: unreachable, clock: time.Now()}
			if code, out, errOut := p.run(strings.Fields(args)...); code != exitUnavailable || errOut == "" {
				t.Errorf("exit %d, want %d\n%s%s", code, exitUnavailable, out, errOut)
			}
		})
	}
}

// verbs lists every command of the program by walking the help of each.
func verbsOf(t *testing.T, path []string) [][]string {
	t.Helper()
	p := &program{t: t, url: unreachable, clock: time.Now()}
	code, out, errOut := p.run(append(slices.Clone(path), "--help")...)
	if code != exitOK || !strings.Contains(out, "Usage: limbround") || errOut != "" {
		t.Fatalf("limbround %s --help: exit %d\n%s%s", strings.Join(path, " "), code, out, errOut)
	}
	_, list, group := strings.Cut(out, "\nCommands:\n")
	if !group {
		return [][]string{path}
	}
	var all [][]string
	seen := map[string]bool{}
	list, _, _ = strings.Cut(list, "\nFlags:\n")
	for _, line := range strings.Split(list, "\n") {
		words := strings.Fields(line)
		if !strings.HasPrefix(line, "  ") || len(words) <= len(path) || strings.HasPrefix(line, "   ") {
			continue
		}
		if next := words[len(path)]; !seen[next] && slices.Equal(words[:len(path)], path) && next[0] >= 'a' && next[0] <= 'z' {
			seen[next] = true
			all = append(all, verbsOf(t, append(slices.Clone(path), next))...)
		}
	}
	return all
}

func TestEveryVerbHasHelp(t *testing.T) {
	all := verbsOf(t, nil)
	t.Logf("%d verbs: %v", len(all), all)
	if len(all) < 28 {
		t.Errorf("help finds only %d verbs: %v", len(all), all)
	}
}

// TestJSONOfEachVerb: one JSON value each, with the fields that other programs
// rely on.
func TestJSONOfEachVerb(t *testing.T) {
	p := newHandmade(t, 2027, time.February, 2)
	page := filepath.Join(t.TempDir(), "page.html")
	o := goOut(p, "PL-001")
	rec := writeJSON(t, recordOfStop(p, &o.packet, o.stop))
	policy := write(t, "policy.yaml", p.ok("policy", "presets", "northeast"))
	for _, tc := range []struct{ args, fields string }{
		{"city make --trees 20 --out " + t.TempDir(), "name trees seed counts files"},
		{"import trees " + filepath.Join(byHand, "trees.csv"), "read accepted rejected merged unchanged batch rejects_file"},
		{"import trees --dry-run " + filepath.Join(byHand, "trees.csv"), "read accepted rejected merged unchanged batch rejects_file dry_run"},
		{"growth --region LoMidW --species ACRU --age 8", "age dbh_cm height_m crown_m crown_base_m curve extrapolated"},
		{"growth --region LoMidW --species ACRU --dbh 12 --years 5", "age dbh_cm dbh_low_cm dbh_high_cm height_low_m height_high_m crown_low_m crown_high_m band"},
		{"growth calibrate", "policy region trees rows yaml"},
		{"advise --tree PL-001 --role stub --diameter 30", "advice dose_used_pct dose_left_pct cut_now_mm cut_next_visit_mm reasons sentence foot"},
		{"advise --species ACRU --policy northeast --dbh 12 --role competing_top --diameter 20 --stem 60", "advice dose_used_pct dose_left_pct cut_now_mm cut_next_visit_mm reasons"},
		{"risk --failure probable --impact high --consequence severe --years 3", "likelihood rating years limits sources"},
		{"due", "trees visits due overdue by_kind seconds"},
		{"calendar PL-001", "visits"},
		{"overdue", "rows"},
		{"year plan --year 2027", "planned carried_over hours objective bound gap_pct seconds"},
		{"packets build --from 2027-02-15", "packets stops unserved minutes bound_minutes seconds"},
		{"settings", "name time_zone units"},
		{"doctor", "checks failed"},
		{"migrate", "schema"},
		{"token add visitor", "actor role token"},
		{"policy check " + policy, "name region"},
		{"policy preview " + policy, "policy policy_before trees looked earlier later new withdrawn by_kind by_district words"},
		{"deviations add --rule other --why w --approved-by x", "id policy_id rule on"},
		{"record add " + rec, "records taken visits_closed"},
		{"packets print 1 --out " + page, "packet file cards"},
		{"import undo LAST", "batch layer removed restored"},
		{"import list", "[]"},
		{"year list", "[]"},
		{"packets list --from 2027-02-01", "[]"},
		{"policy list", "[]"},
		{"policy presets", "[]"},
		{"deviations", "[]"},
		{"token list", "[]"},
	} {
		t.Run(tc.args, func(t *testing.T) {
			args := strings.Fields(tc.args)
			for i, a := range args {
				if a == "LAST" {
					args[i] = p.query("SELECT max(id)::text FROM batch WHERE state = 'applied'")[0]
				}
			}
			q := &program{t: t, url: p.url, clock: p.clock}
			if args[0] == "doctor" {
				q.clock = time.Now() // it compares the clock with the database's
			}
			if tc.fields == "[]" {
				var list []json.RawMessage
				if q.json(&list, args...); len(list) == 0 {
					t.Error("the list is empty")
				}
				return
			}
			var object map[string]json.RawMessage
			q.json(&object, args...)
			for _, f := range strings.Fields(tc.fields) {
				if _, ok := object[f]; !ok {
					t.Errorf("there is no field %q in %v", f, keys(object))
				}
			}
		})
	}
}

// preset is a built-in policy to which a block can be added.
func preset(t *testing.T, name string) string {
	t.Helper()
	b, err := scheduler.Preset(name)
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimRight(string(b), "\n") + "\n"
}

func keys(m map[string]json.RawMessage) []string {
	var list []string
	for k := range m {
		list = append(list, k)
	}
	slices.Sort(list)
	return list
}
