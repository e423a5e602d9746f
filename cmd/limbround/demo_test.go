package main

import (
	"strings"
	"testing"
)

// TestDemoTwice runs the whole loop of the demo and then runs it again on the
// same database: the second run brings nothing in and books nothing twice.
func TestDemoTwice(t *testing.T) {
	p := newProgram(t, 2026, 12, 1)
	args := []string{"demo", "--once", "--trees", "600", "--work", t.TempDir()}
	first := p.ok(args...)
	for _, want := range []string{"600 trees", "rejected 0", "Annual plan 2026", "is issued for", "1 taken, 0 known before, 0 refused; 1 visit closed"} {
		if !strings.Contains(first, want) {
			t.Errorf("the demo does not say %q:\n%s", want, first)
		}
	}
	// What a second loop over the same city moves on: its passes, plans, packets and records.
	moves := []string{
		"audit", "batch", "due_run", "due_stale", "overdue_night", "overdue_district", "overdue_visits",
		"plan", "plan_line", "packet", "stop", "visit", "tree", "watch_item", "work_record", "record_key", "measurement", "tree_base",
	}
	before := p.dump(moves...)
	second := p.ok(args...)
	for _, line := range strings.Split(second, "\n") {
		if strings.Contains(line, "(batch ") && !strings.Contains(line, "(new 0, changed 0,") {
			t.Errorf("the second run brings something in: %s", line)
		}
	}
	sameRows(t, "the second run", before, p.dump(moves...))
	p.none("visits in two live packets", "SELECT visit_id::text FROM stop WHERE live AND kind = 'tree' GROUP BY visit_id HAVING count(*) > 1")
	p.none("years with two plans in force", "SELECT year::text FROM plan WHERE state = 'adopted' GROUP BY year HAVING count(*) > 1")
	if n := p.number("SELECT count(*) FROM work_record WHERE source = 'field'"); n != 2 {
		t.Errorf("%d field records after two runs", n)
	}
}
